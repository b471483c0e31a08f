"""Let the shell complete the names of commands and sessions: type . <(strapline completion)

In zsh, type `autoload -U bashcompinit && bashcompinit` first.
"""

import argparse
from collections.abc import Iterable

# Sessions by the names of their folders, which hold nothing a shell would take for its own.
SCRIPT = """\
_strapline() {{
    local word="${{COMP_WORDS[COMP_CWORD]}}"
    if [ "$COMP_CWORD" -eq 1 ]; then
        COMPREPLY=($(compgen -W "{commands}" -- "$word"))
    else
        COMPREPLY=($(compgen -W "$(command ls results/sessions 2>/dev/null)" -- "$word"))
    fi
}}
complete -o default -F _strapline strapline
"""


def describe(parser: argparse.ArgumentParser) -> None:
    """It is asked for nothing."""


def run(options: argparse.Namespace) -> int:
    print(script(options.known), end="")
    return 0


def script(commands: Iterable[str]) -> str:
    return SCRIPT.format(commands=" ".join(commands))
