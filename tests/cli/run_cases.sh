#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Runs the cases of one file: run_cases.sh PROGRAM SOURCE-FOLDER CASE-FILE
#
# A case is some lines; the first word of each says what it is:
#   case TITLE      a new case begins, in a folder of its own that holds plans/ and floorplans/
#   needs TOOL      is skipped where this program is missing
#   run COMMAND     handed to sh, with `earshot` in the path; several are run one after another
#   exit N          of the last command; 0 when not stated
#   out TEXT        a line of stdout contains this text;      out! TEXT   none does;     out-empty
#   err TEXT        a line of stderr contains this text;      err! TEXT   none does;     err-empty
# Other lines are comments.
set -u

program=$1 source=$2 cases=$3
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
mkdir "$work/bin"
ln -s "$program" "$work/bin/earshot"
PATH=$work/bin:$PATH
export PATH
unset COLUMNS NO_COLOR
ran=0 failed=0 skipped=0 title='' checked=yes

# What differs, with what was printed.
differs() {
    failed=$((failed + 1))
    printf '%s: %s\n  %s\n' "$cases" "$title" "$1"
    sed 's/^/  stdout: /' out | head -n 12
    sed 's/^/  stderr: /' err | head -n 12
}

run_now() {
    [ "$checked" = no ] || return 0
    checked=yes
    if [ "$status" != "$wanted" ]; then differs "exit status is $status, not $wanted"; fi
}

begin() {
    run_now
    title=$1 skip=no wanted=0 status=0 checked=yes
    ran=$((ran + 1))
    mkdir "$work/$ran"
    cd "$work/$ran" || exit 1
    ln -s "$source/tests/cli/plans" plans
    ln -s "$source/floorplans" floorplans
    : > out
    : > err
}

while IFS= read -r line || [ -n "$line" ]; do
    word=${line%% *}
    rest=${line#"$word"}
    rest=${rest# }
    case $word in
    case) begin "$rest"; continue ;;
    esac
    if [ -z "$title" ] || [ "$skip" = yes ]; then continue; fi
    case $word in
    needs)
        command -v "$rest" > tool || { skip=yes; skipped=$((skipped + 1)); checked=yes; }
        ;;
    run)
        run_now
        wanted=0
        sh -c "$rest" > out 2> err < /dev/null
        status=$? checked=no
        ;;
    exit) wanted=$rest ;;
    out) grep -qF -e "$rest" out || differs "stdout lacks: $rest" ;;
    out!) ! grep -qF -e "$rest" out || differs "stdout should lack: $rest" ;;
    out-empty) [ ! -s out ] || differs "stdout is not empty" ;;
    err) grep -qF -e "$rest" err || differs "stderr lacks: $rest" ;;
    err!) ! grep -qF -e "$rest" err || differs "stderr should lack: $rest" ;;
    err-empty) [ ! -s err ] || differs "stderr is not empty" ;;
    esac
done < "$cases"
run_now
printf '%s: %d cases, %d failures, %d skipped\n' "$cases" "$ran" "$failed" "$skipped"
[ "$failed" -eq 0 ] && [ "$ran" -gt 0 ]
