#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# Man page and completions know every command and option of the help, and complete what a person types:
# completions.sh PROGRAM SOURCE-FOLDER
set -euo pipefail

program=$1 source=$2
shell=$source/docs/shell manual=$source/docs/man/earshot.1
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
failed=0

lacks() {
    printf '%s\n' "$1"
    failed=1
}

# What `complete` offers when the words given stand on the line; the last is the one being typed.
offer() {
    bash -c '. "$1"; shift; COMP_WORDS=("$@"); COMP_CWORD=$(($# - 1)); _earshot; printf "%s\n" "${COMPREPLY[@]}"' \
        offer "$shell/earshot.bash" "$@"
}

# ---- every command, every option, in all four ----

mapfile -t commands < <("$program" --help | sed -n 's/^  \([a-z]*\)  .*/\1/p')
[ ${#commands[@]} -ge 5 ] || lacks "the help lists only ${#commands[@]} commands"
for command in "${commands[@]}"; do
    grep -q "^\.It Cm $command\$" "$manual" || lacks "man page: no command $command"
    grep -q "^    $command) _arguments\|^    $command)\$" "$shell/_earshot" || lacks "zsh: no command $command"
    grep -q "__fish_use_subcommand -a $command " "$shell/earshot.fish" || lacks "fish: no command $command"
    offer earshot "$command" -- > "$work/offered"
    mapfile -t options < <("$program" "$command" --help | sed -n 's/^  \(-[a-z], \)\{0,1\}--\([a-z-]*\).*/\2/p')
    for option in "${options[@]}"; do
        grep -qx -e "--$option" "$work/offered" || lacks "bash: $command --$option is missing"
        grep -q -e "--$option[[]\|--$option}" "$shell/_earshot" || lacks "zsh: --$option is missing"
        grep -q "__earshot_uses .*-l $option " "$shell/earshot.fish" || lacks "fish: --$option is missing"
        grep -q "^\.It Fl \(o , Fl \)*\\\\-$option\( \|\$\)" "$manual" || lacks "man page: --$option is missing"
    done
    while read -r offered; do
        [[ " ${options[*]} " == *" ${offered#--} "* ]] || lacks "bash: $command does not know $offered"
    done < "$work/offered"
done

# ---- names out of the plan ----

cp "$source/floorplans/house-garage.plan" "$work/site.plan"
cd "$work"
[ "$(offer earshot explain site.plan gar | tr '\n' ' ')" = "garage-side garage-door garage-move " ] ||
    lacks "bash: no devices of the plan"
[ "$(offer earshot check site.plan --scene fo)" = foil ] || lacks "bash: no scenes of the plan"
[ "$(offer earshot check si)" = site.plan ] || lacks "bash: no plan"
[ "$(offer earshot pla)" = place ] || lacks "bash: no command"
if command -v fish > found; then
    fish --no-config -c "source $shell/earshot.fish; complete -C 'earshot explain site.plan garage-d'" > offered
    grep -q '^garage-door' offered || lacks "fish: no devices of the plan"
    fish --no-config -c "source $shell/earshot.fish; complete -C 'earshot place --any'" > offered
    grep -q '^--anywhere' offered || lacks "fish: no option"
fi
if command -v zsh > found; then zsh -n "$shell/_earshot" || lacks "zsh cannot read it"; fi
if command -v mandoc > found; then
    mandoc -Tlint -W warning "$manual" || lacks "mandoc warns"
fi
if command -v groff > found; then
    groff -mdoc -ww -Tutf8 "$manual" 2>&1 > page | tee warnings
    [ ! -s warnings ] || lacks "groff warns"
fi
exit $failed
