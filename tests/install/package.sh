#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# Builds the Debian packages, installs them on this machine, uses them, removes them again, and looks for what is left.
# Needs root; not one of the ordinary tests: package.sh [FOLDER-TO-BUILD-IN]
set -euo pipefail
cd "$(dirname "$0")/../.."

source=$PWD
build=${1:-build-package}
fail() {
    printf 'package.sh: %s\n' "$1" >&2
    exit 1
}

cmake -S . -B "$build" -DCMAKE_INSTALL_PREFIX=/usr -DBUILD_TESTING=OFF
cmake --build "$build" -j "$(nproc)"
(cd "$build" && cpack)
packages=("$build"/*.deb)
mapfile -t names < <(for package in "${packages[@]}"; do dpkg-deb -f "$package" Package; done)
if command -v lintian; then lintian --fail-on none --allow-root "${packages[@]}"; fi

work=$(mktemp -d)
trap 'dpkg -P "${names[@]}" > /dev/null 2>&1 || true; rm -rf "$work"' EXIT
dpkg -i "${packages[@]}"
files=$(dpkg -L "${names[@]}" | LC_ALL=C sort -u)
cd "$work"
status=0
earshot check "$source/floorplans/house-garage.plan" > checked 2> errors || status=$?
[ "$status" -eq 1 ] || fail "the installed program ends in $status"
man earshot > page 2> errors || [ ! -x /usr/bin/man ] || fail "no man page"
read -ra flags <<< "$(pkg-config --cflags --libs earshot)"
cc -std=c11 "$source/tests/install/foreign/foreign.c" -o foreign "${flags[@]}"
./foreign "$source/floorplans/house-garage.plan" > printed || fail "the foreign program fails"
[ "$(wc -l < printed)" -eq 20 ] || fail "the foreign program does not tell of 20 devices"
dpkg -P "${names[@]}"
while read -r file; do
    if [[ $file == *earshot* && -e $file ]]; then fail "$file is left"; fi
done <<< "$files"
! ldconfig -p | grep -q libearshot || fail "the library is still in the linker's list"
echo "packages install, run and are removed"
