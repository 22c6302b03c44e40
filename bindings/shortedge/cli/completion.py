"""`shortedge completion`: a script that completes commands and options in a shell."""

from __future__ import annotations

import argparse

from .parsing import Commands

SHELLS = ("bash", "zsh", "fish")
FILES = ("inputs", "out", "map", "corrections", "sheet", "table", "keep", "game", "against")  # options that name a file

EXAMPLES = """\
  shortedge completion bash > ~/.local/share/bash-completion/completions/shortedge
  shortedge completion zsh > "${fpath[1]}/_shortedge"
  shortedge completion fish > ~/.config/fish/completions/shortedge.fish"""


def add(commands: Commands) -> None:
    made = commands.add("completion", run, "Print a script that completes commands and options in a shell.", EXAMPLES)
    made.add_argument("shell", choices=SHELLS)


def run(arguments: argparse.Namespace) -> int:
    import shtab

    top = arguments.parser()
    commands = next(action.choices for action in top._actions if isinstance(action.choices, dict))
    for made in commands.values():
        for action in made._actions:
            if action.dest in FILES:
                action.complete = shtab.FILE
    print(shtab.complete(top, arguments.shell))
    return 0
