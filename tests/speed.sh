#!/usr/bin/env bash
# Processor time that one event of the mouse costs the window, the rasteriser included: software rendering at 1440 × 900.
# `tests/speed.sh PROGRAM [GROUND ...]` where GROUND is demo, 4M or 25M (cells; all three without one). Each event is given
# time enough to be drawn by itself, so that none is left out. Needs Xvfb, xdotool, python3 with numpy.
set -euo pipefail
cd "$(dirname "$0")/.."
program=$(realpath "$1")
shift
grounds=("${@:-demo 4M 25M}")
work=$(mktemp -d)
display=${SPEED_DISPLAY:-:$((1000 + RANDOM % 900))}
Xvfb "$display" -screen 0 1440x900x24 -noreset >/dev/null 2>&1 &
server=$!
process=
trap 'kill -9 $process 2>/dev/null || true; kill $server 2>/dev/null || true; rm -rf "$work"' EXIT
sleep 2
export DISPLAY=$display HOME=$work XDG_DATA_HOME=$work XDG_CONFIG_HOME=$work XDG_STATE_HOME=$work LIBGL_ALWAYS_SOFTWARE=1
unset WAYLAND_DISPLAY

# Seconds between two events, and how many there are of each kind.
pace=0.5 events=30

fail() { cat "$work/log"; echo "speed: $1" >&2; exit 1; }
source tests/in_window.sh
ticks() { awk '{ print $14 + $15 }' "/proc/$1/stat"; }

# A plan on a ground of so many cells a side, or the demo field; its file in `$file`.
prepare() {
    case $1 in
    demo) cp demo-fields/larkmoor-bench.* "$work"; file="$work/larkmoor-bench.drain" ;;
    4M) ground 2000 ;;
    25M) ground 5000 ;;
    *) fail "ground '$1': expected demo, 4M or 25M" ;;
    esac
}
ground() {
    file="$work/ground-$1.drain"
    python3 tests/reference/large_ground.py "$1" "$work/ground-$1.tif"
    "$program" new --ground "$work/ground-$1.tif" --horizontal-unit m -o "$file" >"$work/log" 2>&1 || fail "no plan on $1"
}

# Waits until nothing is worked out any more: a second without processor time.
settle() {
    local before=-1 now
    for _ in $(seq 900); do
        now=$(ticks "$process")
        [ $((now - before)) -le 1 ] && return
        before=$now
        sleep 1
    done
    fail "the window does not come to rest"
}

# Runs one xdotool script and tells what an event cost the program, and the display beside it, milliseconds.
cost() {
    local name=$1 count=$2 script=$3 before shown
    settle
    before=$(ticks "$process") shown=$(ticks "$server")
    xdotool $script
    sleep 1
    awk -v name="$name" -v n="$count" -v p=$(($(ticks "$process") - before)) -v d=$(($(ticks "$server") - shown)) \
        'BEGIN { printf "    %-22s %7.1f ms   display %5.1f ms\n", name, 10 * p / n, 10 * d / n }'
}

# Moves along a line of the screen, so many pixels an event.
moves() {
    local x=$1 y=$2 dx=$3 dy=$4 script=
    for i in $(seq "$events"); do script+=" mousemove $((x + dx * i)) $((y + dy * i)) sleep $pace"; done
    echo "$script"
}
repeat() { local script=; for _ in $(seq "$1"); do script+=" $2 sleep $pace"; done; echo "$script"; }

measure() {
    prepare "$1"
    open_window
    xdotool windowsize "$window" 1440 900
    settle
    xdotool windowfocus "$window" mousemove 500 300 sleep 0.5 click 1 sleep 1 key Escape sleep 1
    # A lateral of three points, drawn and chosen; its middle is dragged later.
    xdotool key l sleep 0.5 mousemove 400 420 sleep 0.5 click 1 sleep 1 mousemove 550 330 sleep 0.5 click 1 sleep 1 \
        mousemove 640 250 sleep 0.5 click 1 sleep 1 key Return sleep 1 key v sleep 1
    xdotool mousemove 475 375 sleep 0.5 click 1 sleep 1
    echo "$1"
    cost "still" "$events" "sleep 8"
    cost "hover, map" "$events" "$(moves 300 200 7 4)"
    cost "hover, panel" "$events" "$(moves 60 100 0 8)"
    cost "pan" "$events" "mousemove 400 250 mousedown 2 $(moves 400 250 3 2) mouseup 2"
    xdotool mousemove 520 330 mousedown 2 sleep 0.3 mousemove 400 250 sleep 0.3 mouseup 2 sleep 1
    cost "zoom" 20 "mousemove 600 300 $(repeat 10 'click 4') $(repeat 10 'click 5')"
    cost "drag a bend" "$events" "mousemove 550 330 sleep 0.5 keydown alt mousedown 1 $(moves 550 330 2 -1) mouseup 1 keyup alt"
    [ -z "${SPEED_PICTURES:-}" ] || import -window root "$SPEED_PICTURES/speed-$1.png"
    kill "$process"
    wait "$process" 2>/dev/null || true
    process=
}

echo "Processor time an event, $(basename "$program"), at $pace s an event"
for ground in ${grounds[*]}; do measure "$ground"; done
