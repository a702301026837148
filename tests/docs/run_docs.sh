#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# Runs the commands shown in a document and compares what they print: run_docs.sh PROGRAM SOURCE-FOLDER DOCUMENT [LACKS]
#
# In a ```console block each line "$ earshot ..." or "$ ... | earshot ..." is run (other commands are not), and the lines up to the next "$" or
# the end of the block are what it must print, stdout and stderr together. A line "..." stands for any number of lines.
# A ```plan NAME block is written to the file NAME first, ```plan >>NAME is added to it, so that later commands can
# read it. Commands that match LACKS (an extended regular expression) need what this build has not, and are passed over.
# Commands run in a temporary folder in which floorplans/ is the one of the sources.
set -euo pipefail

program=$1 source=$2 document=$3 lacks=${4:-}
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
mkdir "$work/bin" "$work/here" "$work/blocks"
ln -s "$program" "$work/bin/earshot"
ln -s "$source/floorplans" "$work/here/floorplans"
export PATH="$work/bin:$PATH" NO_COLOR=1
unset COLUMNS

# One numbered file a step: N.plan (text) with N.to (its target), or N.command with N.expected and N.line.
awk -v out="$work/blocks" '
    function start_step() { step = sprintf("%s/%04d", out, ++steps) }
    /^```/ && !inside {
        inside = $1 == "```console" ? "console" : ($1 == "```plan" && NF > 1 ? "plan" : "other")
        if (inside == "plan") { start_step(); print $2 > (step ".to"); printf "" > (step ".plan") }
        command = ""
        next
    }
    /^```/ { inside = ""; next }
    inside == "plan" { print > (step ".plan") }
    inside == "console" && /^\$ / {
        command = substr($0, 3)
        if (command ~ /(^|[|] )earshot( |$)/) {
            start_step()
            print command > (step ".command")
            print FNR > (step ".line")
            printf "" > (step ".expected")
        } else command = ""
        next
    }
    inside == "console" && command != "" { print > (step ".expected") }
' "$source/$document"

# Does the second file match the first, in which a line "..." is any number of lines? Prints the first difference.
matches() {
    awk '
        FNR == NR { want[++n] = $0; next }
        { got[++m] = $0 }
        END {
            i = j = 1; star = 0
            while (j <= m) {
                if (i <= n && want[i] == "...") { star = i++; mark = j }
                else if (i <= n && want[i] == got[j]) { if (j > far) { far = j; next_want = i + 1 } i++; j++ }
                else if (star) { i = star + 1; j = ++mark }
                else break
            }
            while (i <= n && want[i] == "...") i++
            if (j > m && i > n) exit 0
            if (!star) { at = j; wanted = i } else { at = far + 1; wanted = next_want ? next_want : star + 1 }
            printf "  expected: %s\n", wanted <= n ? want[wanted] : "(the end)"
            printf "  printed:  %s\n", at <= m ? got[at] : "(the end)"
            exit 1
        }
    ' "$1" "$2"
}

cd "$work/here"
failed=0 ran=0 passed_over=0
for file in "$work"/blocks/*.to "$work"/blocks/*.command; do
    if [ -e "$file" ]; then printf '%s\n' "$file"; fi
done | LC_ALL=C sort > "$work/steps"
while read -r file; do
    step=${file%.*}
    if [ "$file" = "$step.to" ]; then
        target=$(cat "$file")
        case $target in
        ">>"*) cat "$step.plan" >> "${target#>>}" ;;
        *) cat "$step.plan" > "$target" ;;
        esac
        continue
    fi
    if [ -n "$lacks" ] && grep -qE -e "$lacks" "$step.command"; then
        passed_over=$((passed_over + 1))
        printf '%s:%s: passed over, this build cannot: %s\n' "$document" "$(cat "$step.line")" "$(cat "$step.command")"
        continue
    fi
    ran=$((ran + 1))
    sh "$step.command" > "$step.printed" 2>&1 < /dev/null || true
    if ! matches "$step.expected" "$step.printed"; then
        printf '%s:%s: prints something else: %s\n' "$document" "$(cat "$step.line")" "$(cat "$step.command")"
        failed=$((failed + 1))
    fi
done < "$work/steps"
printf '%s: %d commands, %d differ, %d passed over\n' "$document" "$ran" "$failed" "$passed_over"
[ "$failed" -eq 0 ]
