"""``chattutor demo``: an invented learner's session on the same screen as a lesson, with nothing asked."""

import argparse
import sys
import time
from pathlib import Path
from typing import TYPE_CHECKING, Any

from chattutor.commands import SUMMARIES
from chattutor.common.arguments import between
from chattutor.common.exits import FINE, CannotGoOn
from chattutor.common.output import in_utf8

if TYPE_CHECKING:
    from chattutor.lesson.ports import Face

DESCRIPTION = "Shows a lesson with an invented learner, on the screen of a real one. It asks you nothing."
LONGEST = 60  # seconds
FOLDER = Path(__file__).parents[2] / "transcripts_demo"  # beside the package, in a checkout and once installed
MARK = "A lesson with an invented learner: nobody said this, and you need not answer."


def add_parser(subparsers: Any) -> None:
    """Describe the command."""
    parser = subparsers.add_parser("demo", help=SUMMARIES["demo"], description=DESCRIPTION)
    parser.add_argument("name", nargs="?", metavar="NAME", help="which lesson (default: the first in the list)")
    parser.add_argument("--list", action="store_true", help="list the lessons")
    pause = between(0, LONGEST, "seconds")
    parser.add_argument(
        "--pause", metavar="SECONDS", type=pause, help="pause after each turn (default: 1.5 on a terminal)"
    )
    parser.add_argument("--plain", action="store_true", help="text only, for screen readers")
    parser.add_argument("--large", action="store_true", help="more space between lines")


def run(args: argparse.Namespace) -> int:
    """Play the session, or list them."""
    interactive = sys.stdout.isatty()
    if not interactive:
        in_utf8("replace")
    if args.list:
        print("\n".join(names()))
        return 0
    from chattutor.commands.lesson import face_for

    pause = args.pause if args.pause is not None else (1.5 if interactive else 0.0)
    return play_session(args.name, face_for(args, interactive), pause)


def names() -> list[str]:
    """The invented sessions there are."""
    return sorted(path.stem for path in FOLDER.glob("*.jsonl"))


def play_session(name: str | None, face: "Face", pause: float) -> int:
    """Play one session to its end; the exit code. Raises CannotGoOn where there is none of that name."""
    from chattutor.session_logs.reader import read_session
    from chattutor.session_logs.replay import replay
    from chattutor.session_logs.transcript import LEARNER, learner_words

    known = names()
    chosen = name or (known[0] if known else "")
    if chosen not in known:
        listed = f"there are: {', '.join(known)}" if known else f"there are none in {FOLDER}"
        raise CannotGoOn(f"There is no lesson called {chosen!r}; {listed}.")
    session = read_session(FOLDER / f"{chosen}.jsonl")
    face.notice(MARK)
    for turn in replay(session, FOLDER):
        if turn.line.said is not None:
            face.notice(f"\n{LEARNER}{learner_words(turn.line.said)}")
        face.show(turn.turn)
        time.sleep(pause)
    return FINE
