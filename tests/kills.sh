#!/usr/bin/env bash
# Kills the program while a line's end is dragged without a pause in a real window, again and again, and looks how old
# the state is that the autosave holds: at most ten seconds. `tests/kills.sh 30` kills thirty times; five without a number.
set -euo pipefail
cd "$(dirname "$0")/.."
kills=${1:-5}
source tests/with_program.sh
# A copy, so that a build meanwhile does not change what is killed.
cp "$program" "$work/drainwright"
program="$work/drainwright"
display=${KILLS_DISPLAY:-:$((1000 + RANDOM % 900))}
Xvfb "$display" -screen 0 1280x900x24 -noreset >/dev/null 2>&1 &
server=$!
process=
trap 'xdotool keyup alt mouseup 1 2>/dev/null || true; kill -9 $process 2>/dev/null || true; kill $server 2>/dev/null || true; rm -rf "$work"' EXIT
sleep 2
file="$work/larkmoor-bench.drain"
kept="$file.autosave"
export DISPLAY=$display HOME=$work XDG_DATA_HOME=$work LIBGL_ALWAYS_SOFTWARE=1
unset WAYLAND_DISPLAY

# The upper end of L1 on the map of a window of 1280 by 860, and how far it is dragged at most.
from_x=392 from_y=136 farthest=380
oldest_allowed=10000

fail() { cat "$work/log"; echo "kills: $1" >&2; exit 1; }
now() { echo $(($(date +%s%N) / 1000000)); }
# Easting of the upper end of L1 in a plan file.
end_of() {
    awk '/"name": "L1"/ { line = 1 } line && /"points": \[/ { points = 1 } points && /"x":/ { x = $2; sub(",", "", x) } points && /^ *\]/ { print x; exit }' "$1"
}
source tests/in_window.sh
start() {
    rm -rf "$work"/larkmoor-bench*
    cp demo-fields/larkmoor-bench.* "$work"
    open_window
}
# Takes hold of the end where it lies, `$1` pixels right of where it began; Alt turns snapping off.
hold() {
    xdotool mousemove $((from_x + $1)) $from_y
    sleep 0.7
    xdotool keydown alt mousedown 1
    sleep 0.3
}
let_go() { xdotool mouseup 1 keyup alt; sleep 0.5; xdotool key ctrl+s; sleep 1.5; }

# How far the end moves in the plan for a hundred pixels: dragged twice, saved twice.
start
begin=$(end_of "$file")
places=()
for k in 0 100; do
    hold "$k"
    for step in 25 50 75 100; do xdotool mousemove $((from_x + k + step)) $from_y; sleep 0.1; done
    let_go
    places+=("$(end_of "$file")")
done
kill -9 "$process"; wait "$process" 2>/dev/null || true
awk -v a="$begin" -v b="${places[0]}" -v c="${places[1]}" 'BEGIN { exit !(b > a + 10 && c > b + 10) }' ||
    fail "the end of L1 was not dragged: $begin, ${places[*]}"

worst=0
for kill in $(seq "$kills"); do
    start
    rm -f "$kept"
    hold 0
    began=$(now)
    # Kills fall at no fixed moment between two autosaves.
    last=$((11000 + (kill * 1709) % 9000))
    : >"$work/way"
    for step in $(seq "$farthest"); do
        [ $(($(now) - began)) -ge $last ] && break
        xdotool mousemove $((from_x + step)) $from_y
        echo "$(now) $step" >>"$work/way"
        sleep 0.045
    done
    killed=$(now)
    kill -9 "$process"; wait "$process" 2>/dev/null || true
    process=
    xdotool mouseup 1 keyup alt
    [ $((killed - began)) -ge 11000 ] || fail "kill $kill: the drag came to its end too soon"
    [ -f "$kept" ] || fail "kill $kill: no autosave after $((killed - began)) ms of dragging"
    # The last moment at which the end lay no farther than in the autosave.
    age=$(awk -v x="$(end_of "$kept")" -v b="${places[0]}" -v c="${places[1]}" -v killed="$killed" \
        'BEGIN { pixel = (x - b) / ((c - b) / 100) + 100 } $2 <= pixel + 0.5 { at = $1 } END { print at ? killed - at : 999999 }' "$work/way")
    [ "$age" -le $oldest_allowed ] || fail "kill $kill: the autosave holds a state $age ms old"
    [ "$age" -gt "$worst" ] && worst=$age
    # What is found opens: the same plan with the end where it was.
    "$program" takeoff "$kept" >/dev/null || fail "kill $kill: the autosave cannot be read"
    echo "kills: $kill of $kills after $((killed - began)) ms of dragging, the autosave holds a state $age ms old"
done
echo "kills: $kills kills while dragging; the oldest state kept was $worst ms old, at most $oldest_allowed"
