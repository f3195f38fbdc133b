#!/usr/bin/env bash
# The lessons in a headless browser, with the real program. Pictures of them go to the folder that is named, where one is.
set -euo pipefail
cd "$(dirname "$0")/.."
source tests/with_program.sh
in_browser "${1:-}" lesson_page.py
