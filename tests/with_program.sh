# Sourced, in the root of the project, by the scripts that run the real program: builds it as `$program`, and makes a folder
# `$work` that goes with the script.
cargo build --quiet -p app
program=$(realpath "${CARGO_TARGET_DIR:-target}/debug/drainwright")
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

# Puts the demo fields into `$work`, and beside them a `$python` of its own with the packages that are named.
demo_fields_and_python() {
    python3 -m venv "$work/python" 2>/dev/null || {
        apt-get update -qq && DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends python3-venv >/dev/null
        python3 -m venv "$work/python"
    }
    python=$work/python/bin/python
    "$python" -m pip install --quiet --disable-pip-version-check "$@"
    cp demo-fields/* "$work"
    export XDG_DATA_HOME=$work/data PYTHONDONTWRITEBYTECODE=1
}

# Runs a script of `tests/reference` with a headless browser; the pictures it makes go to a folder, where one is named.
in_browser() {
    local pictures=$1 script=$2 needed
    for needed in chromium chromedriver python3; do
        command -v "$needed" >/dev/null || { echo "$script: $needed is needed" >&2; exit 1; }
    done
    HOME=$work PYTHONDONTWRITEBYTECODE=1 python3 "tests/reference/$script" "$program" "${@:3}" "$work"
    [ -z "$pictures" ] || { mkdir -p "$pictures" && cp "$work"/*.png "$pictures"; }
}
