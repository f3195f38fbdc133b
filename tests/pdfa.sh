#!/usr/bin/env bash
# Sheets, bid schedule, dossier and lessons of every demo field, and one with names in many scripts, held against the rules of PDF/A-2a by a reader that
# shares nothing with what wrote them; and the reader itself against a file that breaks them.
set -euo pipefail
cd "$(dirname "$0")/.."
fail() {
    echo "pdfa: $*" >&2
    exit 1
}
source tests/with_program.sh
demo_fields_and_python pikepdf==10.18.0
rules() {
    "$python" tests/reference/pdfa_rules.py "$@"
}
files=()
for field in larkmoor-bench saltern-flat fernholt-piece; do
    "$program" dossier "$work/$field.drain" -o "$work/$field" >/dev/null
    "$program" sheets "$work/$field.drain" -o "$work/$field.pdf" >/dev/null
    "$program" bid "$work/$field.drain" -o "$work/$field-bid.pdf" >/dev/null
    (cd "$work/$field" && sha256sum --quiet -c SHA256SUMS) || fail "$field: a checksum is not right"
    files+=("$work/$field/dossier.pdf" "$work/$field.pdf" "$work/$field-bid.pdf")
done
for units in "" --metric; do
    "$program" lesson "$work/larkmoor-bench.drain" -o "$work/lessons$units.pdf" $units >/dev/null
    files+=("$work/lessons$units.pdf")
done
rules "${files[@]}" || fail "a rule is broken"
name='Łąka 李 Поле </script>'
sed "s|\"Larkmoor Bench\"|\"$name\"|" "$work/larkmoor-bench.drain" >"$work/named.drain"
grep -q "$name" "$work/named.drain" || fail "the name did not get into the plan"
"$program" dug "$work/named.drain" --photo crates/job/tests/data/turned.jpg --by "R. Wren" --on 2031-04-02 \
    -o "$work/named.drain" --replace >/dev/null
"$program" dossier "$work/named.drain" -o "$work/named" >/dev/null
rules "$work/named/dossier.pdf" --says "$name" || fail "a name is not to be read"
"$python" - "$work" <<'END'
import sys, pikepdf
work = sys.argv[1]
with pikepdf.open(f"{work}/larkmoor-bench.pdf") as pdf:
    del pdf.Root["/Lang"]
    del pdf.Root["/OutputIntents"]
    pdf.save(f"{work}/broken.pdf")
END
"$python" - "$work" <<'END' || fail "the photo is not on paper, upright"
import sys, pikepdf
with pikepdf.open(f"{sys.argv[1]}/named/dossier.pdf") as pdf:
    pictures = [image for page in pdf.pages for image in page.get_images().values()]
    sizes = [(int(image.Width), int(image.Height)) for image in pictures]
    sys.exit(sizes != [(60, 40)])
END
if rules "$work/broken.pdf" >"$work/said"; then
    fail "a broken file was not seen"
fi
grep -q "6.7.4: a language" "$work/said" && grep -q "6.2.3: output intents" "$work/said" || fail "the wrong rules were named"
echo "pdfa: every PDF holds"
