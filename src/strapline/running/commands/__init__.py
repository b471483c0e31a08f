"""What a tester asks on the command line: `strapline <command>`, one module a command.

A command's module has `describe`, which names its arguments, and `run`, which gives the exit
code. Its docstring is its help, and the first line of that its line in the list of commands.
"""

import argparse
import os
import sys
from collections.abc import Sequence
from importlib import import_module
from types import ModuleType

from strapline.ground.documents import DocumentError
from strapline.ground.versions import STRAPLINE
from strapline.running.asked import among
from strapline.running.commands.parser import Parser
from strapline.running.machine import told

COMMANDS = (
    "card",
    "completion",
    "correct",
    "devices",
    "forget",
    "headings",
    "new",
    "package",
    "picture",
    "plan",
    "status",
    "trace",
    "unpack",
    "verify",
)

# What is asked of Snakemake.
TARGETS = ("publish", "demo", "publish_demo", "sessions")

INTERRUPTED = 130


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command. What cannot be done is told in a sentence, with code 2: here, and nowhere
    else."""
    for stream in (sys.stdout, sys.stderr):
        # A name that the terminal has no letters for is no reason to end.
        stream.reconfigure(errors="replace")  # type: ignore[union-attr]
    try:
        options = _read(sys.argv[1:] if arguments is None else arguments)
        code = int(options.run(options))
        sys.stdout.flush()
        return code
    except BrokenPipeError:
        # Whoever reads the output, such as `head`, has enough of it.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except KeyboardInterrupt:
        return INTERRUPTED
    except DocumentError as error:
        sentence = str(error)
    except OSError as error:
        sentence = str(told(error, "Then type the command again.") or _missing(error))
    print(f"strapline: {sentence}", file=sys.stderr)
    return 2


def _missing(error: OSError) -> str:
    if isinstance(error, FileNotFoundError):
        return f"There is no {error.filename or error}. Type `snakemake` to write what is missing."
    return f"{error.filename or 'A file'}: {error.strerror or error}."


def command_of(name: str) -> ModuleType:
    return import_module(f"{__name__}.{name}")


def _read(arguments: Sequence[str]) -> argparse.Namespace:
    parser = Parser(prog="strapline")
    version = f"Strapline {STRAPLINE}"
    parser.add_argument("--version", action="version", version=version, help="show the version")
    commands = parser.add_subparsers(dest="command", required=True, metavar="command")
    typed = arguments[0] if arguments else ""
    # Who asks one command does not wait for what all others import.
    for name in (typed,) if typed in COMMANDS else COMMANDS:
        module = command_of(name)
        told = module.__doc__ or ""
        command = commands.add_parser(name, help=told.splitlines()[0], description=told)
        module.describe(command)
        command.set_defaults(run=module.run, parser=command, known=COMMANDS)
    for word in arguments[:1]:
        if word in TARGETS:
            raise DocumentError(f"That is for Snakemake: type `snakemake {word}`.")
        if not word.startswith("-"):
            among("command", word, COMMANDS)
    return parser.read(arguments)
