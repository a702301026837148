#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# Installs into a folder of its own, moves that, and uses what is there as a stranger would:
# install.sh BUILD-FOLDER SOURCE-FOLDER C-COMPILER
set -euo pipefail

build=$1 source=$2 cc=$3
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

fail() {
    printf 'install.sh: %s\n' "$1" >&2
    exit 1
}

cmake --install "$build" --prefix "$work/first" > "$work/log"
mv "$work/first" "$work/moved" # nothing in it may know where it was
prefix=$work/moved
lib=$(dirname "$(find "$prefix" -name libearshot.so)")
export PKG_CONFIG_PATH=$lib/pkgconfig LD_LIBRARY_PATH=$lib

# ---- the program and what belongs to it ----

plan=$source/floorplans/house-garage.plan
status=0
"$prefix/bin/earshot" check --model direct --csv - "$plan" > "$work/check.csv" 2> "$work/err" || status=$?
[ "$status" -eq 1 ] || fail "the installed program ends in $status"
[ -n "$(find "$prefix" -name 'earshot.1*')" ] || fail "no man page"
for file in bash-completion/completions/earshot zsh/site-functions/_earshot fish/vendor_completions.d/earshot.fish; do
    [ -s "$prefix/share/$file" ] || fail "no $file"
done

# ---- the shared library ----

soname=$(readelf -d "$lib/libearshot.so" | sed -n 's/.*SONAME.*\[\(.*\)\]/\1/p')
[ "$soname" = libearshot.so.0.1 ] || fail "the shared library is called $soname"

# ---- each header alone ----

for header in "$prefix"/include/earshot/*.h; do
    name=earshot/$(basename "$header")
    printf '#include <%s>\n' "$name" > "$work/one.c"
    "$cc" -std=c11 -pedantic -Wall -Wextra -Werror -fsyntax-only -I"$prefix/include" "$work/one.c" ||
        fail "$name alone in C"
    if command -v c++ > "$work/found"; then
        c++ -std=c++11 -pedantic -Wall -Wextra -Werror -fsyntax-only -I"$prefix/include" -x c++ "$work/one.c" ||
            fail "$name alone in C++"
    fi
done

# ---- a foreign program, four ways ----

# What it prints must be what the program says: name, dependable margin, verdict.
devices_of_program() {
    awk -F, '{ gsub(/"[^"]*"/, "quoted") }
             NR == 1 { for (i = 1; i <= NF; i++) at[$i] = i; next }
             { printf "%s %.2f %s\n", $(at["device"]), $(at["dependable_db"]), $(at["verdict"]) }' "$work/check.csv"
}

compare() {
    "$1" "$plan" > "$work/printed" || fail "$2: the foreign program fails"
    devices_of_program | diff - "$work/printed" || fail "$2: the foreign program says something else than ours"
    printf 'foreign program, %s: %d devices\n' "$2" "$(wc -l < "$work/printed")"
}

for kind in shared static; do
    cmake -S "$source/tests/install/foreign" -B "$work/$kind" -DCMAKE_PREFIX_PATH="$prefix" -DKIND=$kind \
        -DCMAKE_C_COMPILER="$cc" > "$work/log" 2>&1 || { cat "$work/log"; fail "cmake does not find the $kind library"; }
    cmake --build "$work/$kind" > "$work/log" 2>&1 || { cat "$work/log"; fail "linking the $kind library with cmake"; }
    compare "$work/$kind/foreign" "cmake, $kind"
done

foreign=$source/tests/install/foreign/foreign.c
read -ra flags <<< "$(pkg-config --cflags --libs earshot)"
"$cc" -std=c11 "$foreign" -o "$work/with-pc" "${flags[@]}" || fail "linking the shared library with pkg-config"
compare "$work/with-pc" "pkg-config, shared"
read -ra flags <<< "$(pkg-config --static --cflags --libs earshot | sed "s|-learshot|$lib/libearshot.a|")"
"$cc" -std=c11 "$foreign" -o "$work/with-pc-static" "${flags[@]}" || fail "linking the static library with pkg-config"
compare "$work/with-pc-static" "pkg-config, static"
[ "$(pkg-config --modversion earshot)" = "$("$prefix/bin/earshot" --version | cut -d' ' -f2)" ] || fail "versions differ"
! readelf -d "$work/with-pc-static" | grep -q libearshot || fail "the static program needs the shared library"
