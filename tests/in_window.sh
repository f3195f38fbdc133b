# Sourced by the scripts that drive the program in a real window: opens `$program` on `$file`, its output in `$work/log`, waits
# for the window and sizes it; `$process` and `$window` are known afterwards. It needs a function `fail` that says why and ends.
open_window() {
    "$program" "$file" >"$work/log" 2>&1 &
    process=$!
    window=
    for _ in $(seq 60); do
        window=$(xdotool search --name Drainwright 2>/dev/null | head -1 || true)
        [ -n "$window" ] && break
        sleep 0.5
    done
    [ -n "$window" ] || fail "no window opened"
    sleep 3
    xdotool windowsize "$window" 1280 860 windowmove "$window" 0 0 windowfocus "$window" 2>/dev/null || true
    sleep 1
}
