"""What a tester asks on the command line: `strapline <command>`, one module a command.

A command's module has `describe`, which names its arguments, and `run`, which gives the exit
code.
"""

import argparse
import os
import sys
from types import ModuleType

from strapline.commands import new, package, plan, trace, verify
from strapline.documents import DocumentError

COMMANDS: dict[str, ModuleType] = {
    "new": new,
    "package": package,
    "plan": plan,
    "trace": trace,
    "verify": verify,
}


def main(arguments: list[str] | None = None) -> int:
    """Run one command; a mistake in a document people write is told in a sentence, with code 2."""
    options = _parser().parse_args(arguments)
    try:
        code = int(options.run(options))
        sys.stdout.flush()
        return code
    except DocumentError as error:
        print(f"strapline: {error}", file=sys.stderr)
        return 2
    except BrokenPipeError:
        # Whoever reads the output, such as `head`, has enough of it.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="strapline")
    commands = parser.add_subparsers(dest="command", required=True, metavar="command")
    for name, module in COMMANDS.items():
        summary = (module.__doc__ or "").splitlines()[0]
        command = commands.add_parser(name, help=summary, description=summary)
        module.describe(command)
        command.set_defaults(run=module.run)
    return parser
