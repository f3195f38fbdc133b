#!/usr/bin/env bash
# The program in a real window: start, draw a lateral, save, open the file again and compare.
set -euo pipefail
cd "$(dirname "$0")/.."
cargo build --quiet -p app
program="$PWD/target/debug/drainwright"
work=$(mktemp -d)
display=:$((70 + RANDOM % 900))
Xvfb "$display" -screen 0 1280x900x24 >/dev/null 2>&1 &
server=$!
trap 'kill $server ${window_process:-} 2>/dev/null || true; rm -rf "$work"' EXIT
sleep 2
cp demo-fields/larkmoor-bench.* "$work"
export DISPLAY=$display HOME=$work XDG_DATA_HOME=$work LIBGL_ALWAYS_SOFTWARE=1
unset WAYLAND_DISPLAY
"$program" "$work/larkmoor-bench.drain" >"$work/log" 2>&1 &
window_process=$!
for _ in $(seq 60); do
    window=$(xdotool search --name Drainwright 2>/dev/null | head -1 || true)
    [ -n "$window" ] && break
    sleep 0.5
done
[ -n "${window:-}" ] || { cat "$work/log"; echo "window: none opened" >&2; exit 1; }
sleep 3
xdotool windowsize "$window" 1280 860 windowmove "$window" 0 0 windowfocus "$window" 2>/dev/null || true
sleep 1
step() { sleep 0.7; }
click() { xdotool mousemove "$1" "$2"; step; xdotool click 1; sleep 1; }
# Take the lateral tool, draw three points in the open upper part of the field, end with Enter, save.
click 500 90
xdotool key l; step
click 330 330
click 300 260
click 290 200
xdotool key Return; step
xdotool key ctrl+s; sleep 2
kill "$window_process"; wait "$window_process" 2>/dev/null || true
window_process=
count() { "$program" check "$1" --json | grep -c '"stations": \[' || true; }
before=$(count demo-fields/larkmoor-bench.drain)
after=$(count "$work/larkmoor-bench.drain")
[ "$after" -eq $((before + 1)) ] || { cat "$work/log"; echo "window: $before lines before, $after after saving" >&2; exit 1; }
cmp -s "$work/larkmoor-bench.drain.bak" demo-fields/larkmoor-bench.drain || { echo "window: the backup is not the former file" >&2; exit 1; }
# Opened again and saved by the program itself, the file stays as it is.
cp "$work/larkmoor-bench.drain" "$work/again.drain"
"$program" export "$work/again.drain" --to geojson -o "$work/a.geojson" >/dev/null
"$program" export "$work/larkmoor-bench.drain" --to geojson -o "$work/b.geojson" >/dev/null
cmp "$work/a.geojson" "$work/b.geojson"
echo "window: drawn, saved, opened again; $before lines, then $after"
