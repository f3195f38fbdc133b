#!/usr/bin/env bash
# The field page in a headless browser, with the real program: entered, reloaded, handed back, brought in. Pictures of it go
# to the folder that is named, where one is.
set -euo pipefail
cd "$(dirname "$0")/.."
for needed in chromium chromedriver python3; do
    command -v "$needed" >/dev/null || { echo "field page: $needed is needed" >&2; exit 1; }
done
cargo build --quiet -p app
program=$(realpath "${CARGO_TARGET_DIR:-target}/debug/drainwright")
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
HOME=$work PYTHONDONTWRITEBYTECODE=1 python3 tests/reference/field_page.py "$program" demo-fields "$work"
if [ -n "${1:-}" ]; then
    mkdir -p "$1" && cp "$work"/*.png "$1"
fi
