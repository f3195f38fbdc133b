#!/usr/bin/env bash
# Every demo field handed over in both units, and one with odd names, no date and a layout put aside: each file read by readers that share
# nothing with what wrote it, coordinates brought back to the plan's system, and every printed sum reckoned again.
set -euo pipefail
cd "$(dirname "$0")/.."
source tests/with_program.sh
# fastkml carries the schema of KML 2.2; no registry carries those of GPX and LandXML, which are held by rules.
demo_fields_and_python ezdxf==1.4.5 gpxpy==1.6.2 lxml==6.1.3 pyproj==3.7.2 fastkml==1.4.0
"$python" tests/reference/open_formats.py "$program" "$work"
