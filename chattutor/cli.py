"""The command line: a table of commands, of which only the one asked for is imported."""

import argparse
import os
import sys
from collections.abc import Sequence
from importlib import import_module
from pathlib import Path

from chattutor.commands import SUMMARIES
from chattutor.common.arguments import Parser
from chattutor.common.exits import CONTROLS, FULL, INTERRUPTED, PIPE_CLOSED, TROUBLE, USAGE, CannotGoOn, plain, reason


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command and give its exit code; every failure a user can meet is one line on standard error."""
    words = list(sys.argv[1:] if argv is None else argv)
    try:
        args = parser(words).parse_args(words)
        _look_over(args)
        code = int(args.run(args))
        sys.stdout.flush()
    except CannotGoOn as trouble:
        print(f"chattutor: {plain(trouble.sentence)}", file=sys.stderr)
        return trouble.code
    except KeyboardInterrupt:
        print(file=sys.stderr)
        return INTERRUPTED
    except BrokenPipeError:
        _leave_quietly()  # the reader (``| head``) has gone
        return PIPE_CLOSED
    except OSError as error:
        if error.errno not in FULL:
            raise
        # every file is written with a sentence of its own, so that this was the standard output
        print(f"chattutor: The output cannot be written: {reason(error)}.", file=sys.stderr)
        _leave_quietly()
        return TROUBLE
    return code


def _leave_quietly() -> None:
    """Point standard output elsewhere, so that closing it is no trouble too."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


# environment variables that name a file or a folder, and are shown where it cannot be used
NAMING = ("CHATTUTOR_LOGS", "CHATTUTOR_VOSK_MODEL", "XDG_DATA_HOME", "XDG_CACHE_HOME", "LOCALAPPDATA", "HOME")


def _look_over(args: argparse.Namespace) -> None:
    """Refuse names that would move the cursor or turn the writing round wherever they are shown. Raises CannotGoOn."""
    given = [each for value in vars(args).values() for each in (value if isinstance(value, list) else [value])]
    for value in given:
        if isinstance(value, Path) and CONTROLS.search(str(value)):
            raise CannotGoOn(f"The name {str(value)!r} has control characters in it; give it another name.", USAGE)
    for name in NAMING:
        if CONTROLS.search(os.environ.get(name, "")):
            raise CannotGoOn(f"The environment variable {name} has control characters in it; set it to a name.", USAGE)


def parser(words: Sequence[str]) -> argparse.ArgumentParser:
    """The parser for these words: every command is named in it, and the one they ask for is whole."""
    top = Parser(
        prog="chattutor",
        description="A tutor that listens while a learner solves linear equations in one unknown.",
        epilog="Run 'chattutor COMMAND --help' for the options of a command.",
    )
    top.add_argument("--version", action="version", version=f"%(prog)s {_version()}")
    commands = top.add_subparsers(metavar="COMMAND", required=True)
    asked = next((word for word in words if not word.startswith("-")), None)
    for name, summary in SUMMARIES.items():
        if name == asked:
            module = import_module(f"chattutor.commands.{name}")
            module.add_parser(commands)
            commands.choices[name].set_defaults(run=module.run)
        else:
            commands.add_parser(name, help=summary)
    return top


def _version() -> str:
    from chattutor import __version__

    return __version__
