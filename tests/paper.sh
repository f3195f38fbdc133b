#!/usr/bin/env bash
# Sheets of every demo field in both units, on four papers, as drafts, issued, replaced and changed, for crews that read English,
# and Spanish on the usual papers: no two texts overlap, none leaves its page or is too small, every glyph is there, every row and
# every sum adds up as printed. A PDF library reads them that shares nothing with what wrote them.
set -euo pipefail
cd "$(dirname "$0")/.."
source tests/with_program.sh
demo_fields_and_python pymupdf==1.26.4
"$python" tests/reference/paper_sets.py "$program" "$work"
