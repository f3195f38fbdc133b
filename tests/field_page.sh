#!/usr/bin/env bash
# The field page in a headless browser, with the real program: entered, reloaded, handed back, brought in. Pictures of it go
# to the folder that is named, where one is.
set -euo pipefail
cd "$(dirname "$0")/.."
source tests/with_program.sh
in_browser "${1:-}" field_page.py demo-fields
