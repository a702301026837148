#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# Every command writes the same bytes with 1, 2 and 8 threads, and whichever compiler made the program:
# same_bytes.sh SOURCE-FOLDER PROGRAM...
set -euo pipefail

source=$1
shift
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
failed=0 compared=0

# What one program with so many threads writes; the folder's name must not stand in it.
write_all() {
    local program=$1 folder=$2 plan
    mkdir "$folder"
    cd "$folder"
    ln -s "$source/floorplans" .
    for plan in house-garage loft-house shop office farm; do
        "$program" check --model direct --csv "$plan.csv" --json "$plan.json" --cell 1m "floorplans/$plan.plan" \
            > "$plan.txt" 2>&1 || true
    done
    "$program" check --model rays --no-map --csv rays.csv floorplans/house-garage.plan > rays.txt 2>&1 || true
    "$program" map --model rays --storey ground --cell 1m --csv cells.csv floorplans/house-garage.plan > map.txt 2>&1 || true
    "$program" explain --model rays floorplans/house-garage.plan garage-side > explain.txt 2>&1 || true
    "$program" place --model direct --csv place.csv floorplans/house-garage.plan > place.txt 2>&1 || true
    "$program" calibrate --model direct --json learnt.json floorplans/house-garage.plan floorplans/readings/house-garage.csv \
        > learnt.txt 2>&1 || true
    "$program" map --model direct --picture map.svg floorplans/house-garage.plan > picture.txt 2>&1 || true
    "$program" report --model direct -o report.html --date today floorplans/house-garage.plan > report.txt 2>&1 || true
    rm floorplans
}

for program in "$@"; do
    for threads in 1 2 8; do
        compared=$((compared + 1))
        OMP_NUM_THREADS=$threads write_all "$program" "$work/$compared"
        if ! diff -rq "$work/1" "$work/$compared" > "$work/differences"; then
            printf '%s with %d threads differs from %s with 1:\n' "$program" $threads "$1"
            while read -r _ one _ other _; do
                printf '%s\n' "$(basename "$one")"
                diff "$one" "$other" | head -n 6 | cut -c 1-160 || true
            done < <(grep '^Files' "$work/differences")
            grep '^Only' "$work/differences" || true
            failed=1
        fi
    done
done
files=$(find "$work/1" -type f | wc -l)
grep -l 'ThreadSanitizer' -r "$work" > "$work.races" && { failed=1; grep -rh 'SUMMARY: ThreadSanitizer' "$work" | sort | uniq -c; }
rm -f "$work.races"
printf '%d files, %d runs of each\n' "$files" "$compared"
exit $failed
