#!/usr/bin/env bash
# The program in a real window: start, draw a lateral, save; start again on the saved file, save again, compare.
set -euo pipefail
cd "$(dirname "$0")/.."
source tests/with_program.sh
display=:$((70 + RANDOM % 900))
Xvfb "$display" -screen 0 1280x900x24 >/dev/null 2>&1 &
server=$!
trap 'kill $server ${process:-} 2>/dev/null || true; rm -rf "$work"' EXIT
sleep 2
cp demo-fields/larkmoor-bench.* "$work"
file="$work/larkmoor-bench.drain"
export DISPLAY=$display HOME=$work XDG_DATA_HOME=$work LIBGL_ALWAYS_SOFTWARE=1
unset WAYLAND_DISPLAY

fail() { cat "$work/log"; echo "window: $1" >&2; exit 1; }
source tests/in_window.sh
start() { open_window; click 500 90; }
stop() { kill "$process"; wait "$process" 2>/dev/null || true; process=; }
click() { xdotool mousemove "$1" "$2"; sleep 0.7; xdotool click 1; sleep 1; }
press() { xdotool key "$1"; sleep 0.7; }
count() { "$program" check "$1" --json | grep -c '"stations": \[' || true; }

# The lateral tool, three points in the open part of the field, Enter, save.
start
press l
click 330 330
click 300 260
click 290 200
press Return
press ctrl+s
sleep 1
stop
before=$(count demo-fields/larkmoor-bench.drain)
after=$(count "$file")
[ "$after" -eq $((before + 1)) ] || fail "$before lines before, $after after saving"
cmp "$file.bak" demo-fields/larkmoor-bench.drain

# Opened again, changed there and back, saved: the same file to the last byte, and the backup as it was.
cp "$file" "$work/saved"
touch -d 2031-01-01 "$file"
start
press ctrl+u
press ctrl+u
press ctrl+s
sleep 1
stop
[ "$(date -r "$file" +%Y)" != 2031 ] || { cat "$work/log"; echo "window: the second start did not save" >&2; exit 1; }
cmp "$file" "$work/saved"
cmp "$file.bak" demo-fields/larkmoor-bench.drain
echo "window: drawn, saved, opened again, saved again; $before lines, then $after"

# The whole job as a newcomer does it, by what the card says comes next: a new plan on a ground without a name of its system, the
# field, the outlet in the ditch, a main, a lateral, saved under the name that is offered, handed over to the folder that is offered.
cp demo-fields/larkmoor-bench.asc "$work/block.asc"
type_in() { xdotool type --delay 20 "$1"; sleep 0.5; }
start
press ctrl+n
click 999 137
type_in "$work/block.asc"
press Return
sleep 2
click 442 405
click 425 513
sleep 3
click 1013 154
for corner in "290 150" "700 215" "720 532" "330 532"; do click $corner; done
press Return
press o
click 400 522
press m
for point in "400 522" "430 495" "640 495"; do click $point; done
press Return
press l
for point in "467 495" "430 205"; do click $point; done
press Return
press ctrl+s
sleep 1
press Return
sleep 2
press ctrl+h
sleep 1
press Return
for _ in $(seq 40); do [ -f "$work/block-handover/SHA256SUMS" ] && break; sleep 0.5; done
stop
[ "$(count "$work/block.drain")" -eq 2 ] || fail "a main and a lateral were to be in the new plan"
(cd "$work/block-handover" && sha256sum --quiet -c SHA256SUMS) || fail "the folder handed over is not whole"
echo "window: the whole job, from New plan to the folder, in 27 clicks and keys"
