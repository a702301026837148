#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# The shared library shows the names of .ci/symbols.txt, which are those that the public headers declare, and no others:
# symbols.sh LIBRARY SOURCE-FOLDER [--accept]
# With --accept the list is written anew; a name that goes or changes its meaning needs a new minor version.
set -euo pipefail
export LC_ALL=C

library=$1 source=$2
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

nm -D --defined-only --without-symbol-versions "$library" | awk '$2 != "A" { print $3 }' | sort > "$work/shown"
if [ "${3:-}" = --accept ]; then cp "$work/shown" "$source/.ci/symbols.txt"; fi
sed '/^typedef/d; /^ \*/d' "$source"/include/earshot/*.h | grep -oE '\bearshot_[a-z0-9_]+\(' | tr -d '(' | sort -u > "$work/declared"

status=0
diff -u "$source/.ci/symbols.txt" "$work/shown" || { status=1; echo "the shared library shows other names than .ci/symbols.txt"; }
diff -u "$work/declared" "$work/shown" || { status=1; echo "the headers declare other names than the library shows"; }
printf '%d public names\n' "$(wc -l < "$work/shown")"
exit $status
