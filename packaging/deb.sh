#!/bin/sh
# Makes a Debian package from a built program: packaging/deb.sh PROGRAM FOLDER
# Needs dpkg-deb and gzip, which every Debian has, and strip, which came with the linker. The name of the package is
# printed.
set -eu
program=$1
out=$2
here=$(cd "$(dirname "$0")/.." && pwd)
tree=$(mktemp -d)
trap 'rm -rf "$tree"' EXIT
chmod 755 "$tree"

version=$("$program" --version | cut -d' ' -f2)
architecture=$(dpkg --print-architecture)
# The C library it was linked with: an older one may lack a symbol.
libc=$(ldd --version | sed -n '1s/.* //p')

put() { # MODE FROM TO
  install -D -m "$1" "$2" "$tree/$3"
}
put 755 "$program" usr/bin/benchdrop
strip --strip-unneeded "$tree/usr/bin/benchdrop"
put 644 "$here/packaging/benchdrop.service" lib/systemd/system/benchdrop.service
put 644 "$here/packaging/benchdrop.sysusers" usr/lib/sysusers.d/benchdrop.conf
put 644 "$here/README.md" usr/share/doc/benchdrop/README.md
put 644 "$here/LICENSE" usr/share/doc/benchdrop/copyright
for schema in "$here"/schemas/*.json; do
  put 644 "$schema" "usr/share/benchdrop/schemas/${schema##*/}"
done

mkdir -p "$tree/usr/share/man/man1" "$tree/usr/share/bash-completion/completions" \
  "$tree/usr/share/zsh/vendor-completions" "$tree/usr/share/fish/vendor_completions.d"
"$program" manual | gzip -9n >"$tree/usr/share/man/man1/benchdrop.1.gz"
"$program" completions bash >"$tree/usr/share/bash-completion/completions/benchdrop"
"$program" completions zsh >"$tree/usr/share/zsh/vendor-completions/_benchdrop"
"$program" completions fish >"$tree/usr/share/fish/vendor_completions.d/benchdrop.fish"

mkdir "$tree/DEBIAN"
cat >"$tree/DEBIAN/control" <<CONTROL
Package: benchdrop
Version: $version
Architecture: $architecture
Maintainer: benchdrop <benchdrop@shop.example>
Section: misc
Priority: optional
Depends: libc6 (>= $libc), ca-certificates
Description: background service of an engine-rebuilding shop
 Files dropped at the bench become verdicts, stages, letters and pages.
 .
 Make a shop with: benchdrop init /var/lib/benchdrop
CONTROL
for script in postinst prerm postrm; do
  put 755 "$here/packaging/$script" "DEBIAN/$script"
done
find "$tree" -type d -exec chmod 755 {} +

mkdir -p "$out"
dpkg-deb --root-owner-group -z3 --build "$tree" "$out/benchdrop_${version}_$architecture.deb" >/dev/null
echo "$out/benchdrop_${version}_$architecture.deb"
