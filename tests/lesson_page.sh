#!/usr/bin/env bash
# The lessons in a headless browser, with the real program. Pictures of them go to the folder that is named, where one is.
set -euo pipefail
cd "$(dirname "$0")/.."
for needed in chromium chromedriver python3; do
    command -v "$needed" >/dev/null || { echo "lessons: $needed is needed" >&2; exit 1; }
done
cargo build --quiet -p app
program=$(realpath "${CARGO_TARGET_DIR:-target}/debug/drainwright")
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
HOME=$work PYTHONDONTWRITEBYTECODE=1 python3 tests/reference/lesson_page.py "$program" "$work"
if [ -n "${1:-}" ]; then
    mkdir -p "$1" && cp "$work"/*.png "$1"
fi
