# SPDX-License-Identifier: GPL-3.0-or-later
# Completion of earshot for fish: commands, their options, and names out of the plan on the line.

function __earshot_names --description 'names of statements of a keyword in the first plan on the line'
    for word in (commandline -opc)
        if string match -q '*.plan' -- $word; and test -f $word
            awk -v keyword=$argv[1] '$1 == keyword { print $2 }' $word
            return
        end
    end
end

function __earshot_uses --description 'is the command one of these?'
    set -l words (commandline -opc)
    test (count $words) -ge 2; and contains -- $words[2] $argv
end

function __earshot_has_plan --description 'does a plan stand on the line?'
    string match -q '*.plan' -- (commandline -opc)
end

function __earshot_files --description 'folders, and files that end so'
    for ending in $argv
        __fish_complete_suffix $ending
    end
end

complete -c earshot -f
complete -c earshot -n __fish_use_subcommand -l help -d 'list the commands'
complete -c earshot -n __fish_use_subcommand -l version -d 'tell the version'
complete -c earshot -n __fish_use_subcommand -a check -d 'margin and verdict of every device, with a map'
complete -c earshot -n __fish_use_subcommand -a map -d 'what can be heard where on a storey'
complete -c earshot -n __fish_use_subcommand -a explain -d 'one device, term by term'
complete -c earshot -n __fish_use_subcommand -a place -d 'where the receiver goes, which repeaters, what to wire'
complete -c earshot -n __fish_use_subcommand -a calibrate -d 'readings on site correct the plan'
complete -c earshot -n __fish_use_subcommand -a report -d 'a document for the client, PDF or one HTML page'
complete -c earshot -n __fish_use_subcommand -a materials -d 'the known materials and their losses'
complete -c earshot -n __fish_use_subcommand -a new -d 'a commented plan to start from'

# Operands.
complete -c earshot -n '__earshot_uses check map explain place calibrate report materials; and not __earshot_has_plan' \
    -a '(__earshot_files .plan)'
complete -c earshot -n '__earshot_uses explain; and __earshot_has_plan' -a '(__earshot_names device)'
complete -c earshot -n '__earshot_uses calibrate; and __earshot_has_plan' -a '(__earshot_files .csv)'

# Options, each with the commands that take it.
set -l judging check map explain place calibrate report
complete -c earshot -n "__earshot_uses $judging materials new" -l help -d 'list the options'
complete -c earshot -n "__earshot_uses $judging" -x -l model -a 'direct rays' -d 'how path loss is computed'
complete -c earshot -n "__earshot_uses $judging" -x -l band -a 'all 433.92 868.30' -d 'a band of the plan'
complete -c earshot -n "__earshot_uses $judging" -x -l scene -a 'none all (__earshot_names scene)' -d 'a what-if of the plan'
complete -c earshot -n "__earshot_uses $judging" -x -l receiver -a '(__earshot_names receiver)' -d 'which receiver'
complete -c earshot -n '__earshot_uses check map place' -x -l storey -a '(__earshot_names storey)' -d 'only this storey'
complete -c earshot -n '__earshot_uses map calibrate report' -x -l radio -a '(__earshot_names radio)' -d 'radio of the device that is carried about'
complete -c earshot -n '__earshot_uses map' -x -l from -a '(__earshot_names receiver) (__earshot_names mount)' -d 'mount or receiver the map is drawn for'
complete -c earshot -n '__earshot_uses check map report' -x -l cell -d 'width of a character of the map'
complete -c earshot -n '__earshot_uses check map place report' -x -l height -d 'height above the floor of the storey'
complete -c earshot -n '__earshot_uses check' -l no-map -d 'no text map'
complete -c earshot -n '__earshot_uses check map place calibrate materials' -r -l csv -a '(__earshot_files .csv)' -d 'write CSV, - for stdout'
complete -c earshot -n '__earshot_uses check place calibrate' -r -l json -a '(__earshot_files .json)' -d 'write JSON, - for stdout'
complete -c earshot -n '__earshot_uses map explain' -r -l picture -a '(__earshot_files .svg .png .pdf)' -d 'draw a picture'
complete -c earshot -n '__earshot_uses map explain report' -x -l language -a 'en de' -d 'language of what a client reads'
complete -c earshot -n '__earshot_uses map explain report' -x -l paper -a 'a4 letter' -d 'paper of a PDF'
complete -c earshot -n '__earshot_uses check map report' -r -l readings -a '(__earshot_files .csv)' -d 'levels read on site'
complete -c earshot -n '__earshot_uses check map calibrate report' -x -l tolerance -a free -d 'how well the figures of the radios are known'
complete -c earshot -n '__earshot_uses check map calibrate report' -x -l noise -d 'standard deviation of one reading'
complete -c earshot -n '__earshot_uses check map calibrate report' -x -l scale -d 'what 0 and 100 of the scale of the panel are in dBm'
complete -c earshot -n '__earshot_uses place' -l anywhere -d 'also places along the walls'
complete -c earshot -n '__earshot_uses place' -x -l spacing -d 'between places along walls'
complete -c earshot -n '__earshot_uses place' -x -l best -d 'how many choices to show'
complete -c earshot -n '__earshot_uses place report' -x -l seconds -d 'time for the solver'
complete -c earshot -n '__earshot_uses place calibrate' -r -l write -a '(__earshot_files .plan)' -d 'write the plan, or the corrected materials'
complete -c earshot -n '__earshot_uses calibrate' -l flat -d 'forget what the plan says of its materials'
complete -c earshot -n '__earshot_uses calibrate' -l next -d 'tell which next reading would settle most'
complete -c earshot -n '__earshot_uses report' -r -s o -l output -a '(__earshot_files .pdf .html)' -d 'the document to write'
complete -c earshot -n '__earshot_uses report' -l place -d 'propose the best arrangement'
complete -c earshot -n '__earshot_uses report' -x -l date -d 'date to print'
complete -c earshot -n '__earshot_uses report' -x -l for -d 'for whom it was prepared'
complete -c earshot -n '__earshot_uses report' -x -l by -d 'who prepared it'
complete -c earshot -n '__earshot_uses materials' -l plan -d 'print the built-in materials as plan text'
