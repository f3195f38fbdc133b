#!/usr/bin/env bash
# Sheets of every demo field in both units, on four papers, as drafts, issued, replaced and changed, for crews that read English,
# and Spanish on the usual papers: no two texts overlap, none leaves its page or is too small, every glyph is there, every row and
# every sum adds up as printed. A PDF library reads them that shares nothing with what wrote them.
set -euo pipefail
cd "$(dirname "$0")/.."
cargo build --quiet -p app
program=$(realpath "${CARGO_TARGET_DIR:-target}/debug/drainwright")
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
python3 -m venv "$work/python" 2>/dev/null || {
    apt-get update -qq && DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends python3-venv >/dev/null
    python3 -m venv "$work/python"
}
"$work/python/bin/pip" install --quiet --disable-pip-version-check pymupdf==1.26.4
export XDG_DATA_HOME=$work/data PYTHONDONTWRITEBYTECODE=1
cp demo-fields/* "$work"
"$work/python/bin/python" tests/reference/paper_sets.py "$program" "$work"
