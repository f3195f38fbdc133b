#!/bin/sh
# Holds what the worst plans take to check against 10 seconds of processor time and 2 GB. Looked at by hand, for a time is
# no test: cargo build --release -p app --bins --example worst_plans, then tests/worst_plans.sh [NAME].
set -u
cd "$(dirname "$0")/.." || exit 2
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
target/release/examples/worst_plans "$folder" "$@" || exit 2
over=0
for plan in "$folder"/*.drain; do
    python3 - "$plan" <<'PYTHON' || over=1
import os, resource, subprocess, sys
plan = sys.argv[1]
def limits():
    resource.setrlimit(resource.RLIMIT_CPU, (120, 120))
with open(os.devnull, "w") as nothing:
    status = subprocess.run(["target/release/drainwright", "check", plan], stdout=nothing, preexec_fn=limits).returncode
used = resource.getrusage(resource.RUSAGE_CHILDREN)
seconds, megabytes = used.ru_utime + used.ru_stime, used.ru_maxrss / 1024
held = seconds <= 10 and megabytes <= 2000 and status in (0, 1, 2)
print(f"{os.path.basename(plan):28} {seconds:7.2f} s {megabytes:7.0f} MB  status {status}{'' if held else '  OVER'}")
sys.exit(0 if held else 1)
PYTHON
done
exit $over
