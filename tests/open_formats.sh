#!/usr/bin/env bash
# Every demo field handed over in both units, and one with odd names, no date and a layout put aside: each file read by readers that share
# nothing with what wrote it, coordinates brought back to the plan's system, and every printed sum reckoned again.
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
# fastkml carries the schema of KML 2.2; no registry carries those of GPX and LandXML, which are held by rules.
"$work/python/bin/pip" install --quiet --disable-pip-version-check ezdxf==1.4.5 gpxpy==1.6.2 lxml==6.1.3 pyproj==3.7.2 fastkml==1.4.0
cp demo-fields/* "$work"
export XDG_DATA_HOME=$work/data PYTHONDONTWRITEBYTECODE=1
"$work/python/bin/python" tests/reference/open_formats.py "$program" "$work"
