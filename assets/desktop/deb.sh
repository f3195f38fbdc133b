#!/usr/bin/env bash
# A Debian package of Drainwright: bash assets/desktop/deb.sh [FOLDER]
# Program, menu entry, icon, file type and manual page; no path of this machine is left in the program. PROFILE=release builds it quicker.
set -euo pipefail
out=$(realpath "${1:-.}")
cd "$(dirname "$0")/../.."
profile=${PROFILE:-dist}
cargo_home=$(realpath "${CARGO_HOME:-$HOME/.cargo}")
target=$(realpath -m "${CARGO_TARGET_DIR:-target/package}")
# Of two that fit the later one wins: registry and target lie within what stands before them, or anywhere.
for remap in "$HOME=~" "$PWD=." "$cargo_home=cargo" "$target=target"; do
    RUSTFLAGS="${RUSTFLAGS:-} --remap-path-prefix=$remap"
done
export RUSTFLAGS CARGO_TARGET_DIR=$target
cargo build --locked --package app --profile "$profile"
program=$target/$profile/drainwright

work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
root=$work/root
put() { install -D -m "$1" "$2" "$root/usr/$3"; }
put 755 "$program" bin/drainwright
strip "$root/usr/bin/drainwright"
for path in "$PWD" "$target" "$cargo_home" "${RUSTUP_HOME:-$HOME/.rustup}"; do
    if grep -aqF "$path" "$root/usr/bin/drainwright"; then
        echo "deb: the program still names $path" >&2
        exit 1
    fi
done
put 644 assets/desktop/drainwright.desktop share/applications/drainwright.desktop
put 644 assets/desktop/drainwright.xml share/mime/packages/drainwright.xml
put 644 assets/desktop/drainwright.svg share/icons/hicolor/scalable/apps/drainwright.svg
put 644 assets/desktop/drainwright.png share/icons/hicolor/256x256/apps/drainwright.png
put 644 README.md share/doc/drainwright/README.md
cat LICENSE assets/fonts/OFL.txt >"$work/copyright"
put 644 "$work/copyright" share/doc/drainwright/copyright
gzip -9n <assets/desktop/drainwright.1 >"$work/drainwright.1.gz"
put 644 "$work/drainwright.1.gz" share/man/man1/drainwright.1.gz

version=$(sed -n 's/^version = "\(.*\)"/\1/p' Cargo.toml | head -n 1)
machine=$(dpkg --print-architecture)
libc=$(objdump -T "$program" | grep -o 'GLIBC_[0-9.]*' | sort -uV | tail -n 1)
install -d -m 755 "$root/DEBIAN"
cat >"$root/DEBIAN/control" <<CONTROL
Package: drainwright
Version: $version
Architecture: $machine
Maintainer: Drainwright maintainers <maintainers@drainwright.example>
Installed-Size: $(du -sk "$root/usr" | cut -f 1)
Depends: libc6 (>= ${libc#GLIBC_}), libgcc-s1
Recommends: libx11-6, libxcursor1, libxi6, libx11-xcb1, libxkbcommon-x11-0, libgl1, shared-mime-info, desktop-file-utils, xdg-utils
Section: science
Priority: optional
Description: planner for subsurface drainage
 Takes real ground in, shows where water gathers, lets main and laterals be laid
 out along the swales, works out grade, depth, flow and size of every pipe, says
 what is wrong, counts pipe and money, and prints cut sheets to dig from.
CONTROL
package=$out/drainwright_${version}_$machine.deb
dpkg-deb --root-owner-group --build "$root" "$package"
