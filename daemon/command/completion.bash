# Completes the words of gainwarden in bash; made by `gainwarden explain completion`. The tables are at
# the end: $_gainwarden_first, what may stand first, and _gainwarden_takes, which fills `options` (each
# with what it takes, or nothing), `words` (what each word behind the command is) and `repeats` (the
# last word may come again).

# What is offered for $1: files, folders, nothing that could be known, or one of a list of words.
_gainwarden_offer()
{
    case $1 in
    @files) compopt -o default ;; # readline's own, which know about blanks and ~
    @folders) compopt -o dirnames ;;
    @anything) ;;
    *)
        mapfile -t COMPREPLY < <(compgen -W "$1" -- "$2")
        # an option that wants an argument goes on behind its =
        if [[ ${#COMPREPLY[@]} -eq 1 && ${COMPREPLY[0]} == *= ]]; then
            compopt -o nospace
        fi
        ;;
    esac
}

# The options themselves.
_gainwarden_names()
{
    local name

    for name in "${!options[@]}"; do
        echo "$name${options[$name]:+=}"
    done
}

# Looks at what stands before the cursor: which option waits for its argument, and how many words of
# the command are there already. Bash makes three words of --name=value.
_gainwarden_look_back()
{
    local i word

    for ((i = 2; i < COMP_CWORD; i++)); do
        word=${COMP_WORDS[i]}
        if [[ -n $waiting ]]; then
            [[ $word == = ]] || waiting=
        elif [[ $word != -* ]]; then
            position=$((position + 1))
        elif [[ -n ${options[$word]} ]]; then
            waiting=$word
        fi
    done
}

_gainwarden()
{
    local word=${COMP_WORDS[COMP_CWORD]} waiting='' position=0 repeats=''
    local -A options=()
    local -a words=()

    COMPREPLY=()
    if [[ $COMP_CWORD -eq 1 ]]; then
        _gainwarden_offer "$_gainwarden_first" "$word"
        return
    fi
    _gainwarden_takes "${COMP_WORDS[1]}"
    _gainwarden_look_back
    [[ $repeats && $position -ge ${#words[@]} ]] && position=$((${#words[@]} - 1))
    if [[ -n $waiting ]]; then
        _gainwarden_offer "${options[$waiting]}" "${word#=}"
    elif [[ $word == -* ]]; then
        _gainwarden_offer "$(_gainwarden_names)" "$word"
    elif [[ $position -lt ${#words[@]} ]]; then
        _gainwarden_offer "${words[position]}" "$word"
    fi
}

complete -F _gainwarden gainwarden

