#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# Every allocation and every step of writing a file goes wrong, one at a time:
# run_faults.sh FAULTY-PROGRAM SOURCE-FOLDER COMMAND [all]
# COMMAND is one of those at the end. Without "all", of many allocations every k-th is taken so that there are about 60.
# Looked at each time: no crash and no leak (with sanitizers), the exit status that is promised, the old file intact and
# nothing left beside it.
set -euo pipefail

program=$1 source=$2 command=$3 most=60
if [ "${4:-}" = all ]; then most=1000000; fi
work=$(mktemp -d)
trap 'cd /; umount "$work/small" 2> /dev/null || true; rm -rf "$work"' EXIT
mkdir "$work/here" "$work/want"
cp "$source"/floorplans/*.plan "$source"/floorplans/readings/*.csv "$source"/tests/cli/plans/*.plan "$work"
cd "$work/here"
export OMP_NUM_THREADS=1 ASAN_OPTIONS=exitcode=99:allocator_may_return_null=1 UBSAN_OPTIONS=exitcode=99 \
    LSAN_OPTIONS=exitcode=99:${LSAN_OPTIONS:-}
failed=0 runs=0

# $words: the command line; $files: what it writes, names in the folder here.
case $command in
check) words=(check ../house-garage.plan --model direct --scene all --cell 1m --csv a.csv --json b.json) files=(a.csv b.json) ;;
readings) words=(check ../house-garage.plan --model direct --readings ../house-garage.csv --no-map --json b.json) files=(b.json) ;;
map) words=(map ../house-garage.plan --model direct --cell 1m --csv a.csv) files=(a.csv) ;;
picture) words=(map ../good.plan --model direct --band 868 --picture a.svg) files=(a.svg) ;;
explain) words=(explain ../house-garage.plan garage-side --model direct) files=() ;;
rays) words=(check ../good.plan --model rays --csv a.csv) files=(a.csv) ;;
place) words=(place ../three.plan --model direct --csv a.csv --json b.json --write c.plan) files=(a.csv b.json c.plan) ;;
calibrate)
    words=(calibrate ../house-garage.plan ../house-garage.csv --model direct --next --csv a.csv --json b.json --write c.plan)
    files=(a.csv b.json c.plan)
    ;;
report) words=(report ../good.plan --model direct -o a.html) files=(a.html) ;;
materials) words=(materials ../house-garage.plan --csv a.csv) files=(a.csv) ;;
new) words=(new) files=() ;;
esac

wrong() {
    failed=$((failed + 1))
    printf '%s: %s\n' "$command" "$1"
    head -n 20 ../err | sed 's/^/  /'
}

old_files() {
    local file
    rm -rf ./* .earshot-*
    for file in "${files[@]}"; do printf 'old %s\n' "$file" > "$file"; done
}

# Runs it; $status and ../out are what came of it.
run() {
    runs=$((runs + 1))
    status=0
    old_files
    { env "$@" "$program" "${words[@]}" > ../out 2> ../err < /dev/null; } 2> ../shell || status=$? # "Killed" goes there
}

# Each file is the old one or the whole new one; none is only if $1 says so.
check_files() {
    local file
    for file in "${files[@]}"; do
        if cmp -s "$file" "../want/$file"; then continue; fi
        if [ "$(cat "$file")" != "old $file" ] || [ "$1" = new ]; then wrong "$file is broken ($2)"; fi
    done
    if [ "$3" = clean ] && [ -n "$(find . -name '.earshot-*')" ]; then wrong "a temporary file is left ($2)"; fi
}

# After a fault: $1 is the status wanted, else it must have gone through as if nothing had happened.
check_outcome() {
    if [ "$status" -eq "$normal" ] && [ "$status" -ne "$1" ]; then
        if [ "$normal" -le 1 ] && ! cmp -s ../out ../want/out; then wrong "other text on stdout ($2)"; fi
        if ! cmp -s <(grep '^earshot: ' ../err) <(grep '^earshot: ' ../want/err); then wrong "stderr lacks a line ($2)"; fi
        check_files new "$2" clean
        passed=$((passed + 1))
    elif [ "$status" -eq "$1" ]; then
        if [ ! -s ../err ]; then wrong "not a word on stderr ($2)"; fi
        check_files old "$2" clean
    else
        wrong "status $status ($2)"
    fi
}

# ---- without a fault ----

run X=1
normal=$status
[ "$normal" -le 1 ] || { wrong "status $normal without a fault"; exit 1; }
for file in "${files[@]}"; do cp "$file" ../want/; done
cp ../out ../err ../want/

# ---- memory ----

run FAULT_KIND=memory FAULT_COUNT=../count
count=$(cat ../count) passed=0
step=$(((count + most - 1) / most))
if [ "$step" -lt 1 ]; then step=1; fi
for ((n = 1; n <= count; n += n < 40 ? 1 : step)); do
    run FAULT_KIND=memory FAULT_AT=$n
    check_outcome 5 "allocation $n of $count"
done
printf '%s: %d allocations, of which a failing one did no harm in %d runs\n' "$command" "$count" "$passed"

# ---- writing ----

passed=0
for kind in write fsync fchmod close mkstemp rename; do
    run FAULT_KIND=$kind FAULT_COUNT=../count
    count=$(cat ../count)
    for ((n = 1; n <= count; n++)); do
        run FAULT_KIND=$kind FAULT_AT=$n
        check_outcome 4 "$kind $n of $count"
    done
done
run FAULT_KIND=all FAULT_COUNT=../count
count=$(cat ../count)
for ((n = 1; n <= count; n++)); do
    run FAULT_KIND=all FAULT_AT=$n FAULT_ACTION=kill
    [ "$status" -eq 137 ] || wrong "kill $n of $count: status $status"
    check_files old "killed before call $n" killed
done
for action in short interrupt; do
    run FAULT_KIND=write FAULT_AT=1 FAULT_ACTION=$action
    [ "$status" -eq "$normal" ] || wrong "$action write: status $status"
    check_files new "$action write" clean
done
printf '%s: %d steps of writing\n' "$command" "$count"

# ---- nowhere to write ----

for target in full closed; do
    old_files
    status=0
    if [ $target = full ]; then
        "$program" "${words[@]}" > /dev/full 2> ../err || status=$?
    else
        "$program" "${words[@]}" >&- 2> ../err || status=$?
    fi
    if [ -s ../want/out ] && [ "$status" -ne 4 ]; then wrong "stdout $target: status $status"; fi
done
if [ ${#files[@]} -gt 0 ] && [ "$(cat "${files[@]/#/../want/}" | wc -c)" -gt 2000 ]; then
    old_files
    status=0
    (ulimit -f 1; exec "$program" "${words[@]}") > /dev/null 2> ../err || status=$?
    [ "$status" -eq 4 ] || wrong "files of at most 1 KiB: status $status"
    check_files old "files of at most 1 KiB" clean
    mkdir ../small
    if mount -t tmpfs -o size=$((4 * ${#files[@]} + 4))k earshot-test ../small 2> ../mount; then # needs root
        cd ../small
        old_files
        head -c 100000 /dev/zero > filler 2> ../mount || true
        status=0
        "$program" "${words[@]}" > ../out 2> ../err || status=$?
        [ "$status" -eq 4 ] || wrong "full disk: status $status"
        for file in "${files[@]}"; do
            [ "$(cat "$file")" = "old $file" ] || wrong "full disk: $file is broken"
        done
        cd ../here
        umount ../small
        printf '%s: full disk tried\n' "$command"
    fi
fi
printf '%s: %d runs, %d wrong\n' "$command" "$runs" "$failed"
[ "$failed" -eq 0 ]
