# SPDX-License-Identifier: GPL-3.0-or-later
# Completion of earshot for bash: commands, their options, and names out of the plan on the line.

# Names of statements of one keyword in the first plan on the line.
_earshot_names() {
    local word
    for word in "${COMP_WORDS[@]:2}"; do
        if [[ $word == *.plan && -f $word ]]; then
            awk -v keyword="$1" '$1 == keyword { print $2 }' "$word"
            return
        fi
    done
}

_earshot_words() {
    mapfile -t COMPREPLY < <(compgen -W "$1" -- "$2")
}

# Folders, and files with one of these endings.
_earshot_files() {
    local ending
    compopt -o filenames 2> /dev/null
    mapfile -t COMPREPLY < <(
        compgen -d -- "$2"
        for ending in $1; do compgen -f -X "!*.$ending" -- "$2"; done
    )
}

# The value of an option; false if it takes none.
_earshot_value() {
    case $1 in
    --model) _earshot_words "direct rays" "$2" ;;
    --band) _earshot_words "all 433.92 868.30" "$2" ;;
    --scene) _earshot_words "none all $(_earshot_names scene)" "$2" ;;
    --storey | --receiver | --radio) _earshot_words "$(_earshot_names "${1#--}")" "$2" ;;
    --from) _earshot_words "$(_earshot_names receiver) $(_earshot_names mount)" "$2" ;;
    --language) _earshot_words "en de" "$2" ;;
    --paper) _earshot_words "a4 letter" "$2" ;;
    --tolerance) _earshot_words "free" "$2" ;;
    --readings) _earshot_files csv "$2" ;;
    --csv) _earshot_files csv "$2" ;;
    --json) _earshot_files json "$2" ;;
    --picture) _earshot_files "svg png pdf" "$2" ;;
    --output | -o) _earshot_files "pdf html" "$2" ;;
    --write) _earshot_files plan "$2" ;;
    --cell | --height | --noise | --scale | --spacing | --best | --seconds | --date | --for | --by) COMPREPLY=() ;;
    *) return 1 ;;
    esac
}

# How many operands stand on the line before the cursor; an option's value is none of them.
_earshot_operands() {
    local i n=0
    for ((i = 2; i < COMP_CWORD; i++)); do
        case ${COMP_WORDS[i]} in
        --no-map | --anywhere | --place | --flat | --next | --plan | --help) ;;
        -o | --*) ((i++)) ;;
        *) ((n++)) ;;
        esac
    done
    printf '%d' "$n"
}

_earshot() {
    local word=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD - 1]} options
    COMPREPLY=()
    if ((COMP_CWORD == 1)); then
        _earshot_words "check map explain place calibrate report materials new --help --version" "$word"
        return
    fi
    _earshot_value "$before" "$word" && return
    case ${COMP_WORDS[1]} in
    check) options="--model --band --scene --storey --receiver --cell --height --no-map --csv --json --readings
        --tolerance --noise --scale --help" ;;
    map) options="--model --band --scene --storey --receiver --radio --from --cell --height --csv --picture --language
        --paper --readings --tolerance --noise --scale --help" ;;
    explain) options="--model --band --scene --receiver --picture --language --paper --help" ;;
    place) options="--model --band --scene --storey --receiver --height --csv --json --anywhere --spacing --best
        --seconds --write --help" ;;
    calibrate) options="--model --band --scene --receiver --radio --csv --json --tolerance --noise --scale --flat
        --next --write --help" ;;
    report) options="--model --band --scene --receiver --radio --cell --height --output --language --paper
        --place --seconds --date --for --by --readings --tolerance --noise --scale --help" ;;
    materials) options="--csv --plan --help" ;;
    new) options="--help" ;;
    *) return ;;
    esac
    if [[ $word == -* ]]; then
        _earshot_words "$options" "$word"
        return
    fi
    case ${COMP_WORDS[1]}:$(_earshot_operands) in
    new:*) ;;
    explain:1) _earshot_words "$(_earshot_names device)" "$word" ;;
    calibrate:1) _earshot_files csv "$word" ;;
    *:0) _earshot_files plan "$word" ;;
    esac
}

complete -F _earshot earshot
