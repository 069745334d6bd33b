"""All that a lesson hears, in one table: clean, in noise, raised, thinking aloud, digits, talk, whole lessons' turns.

    python tests/bench/bench_hearing.py                       # a draw of each set, one in --share
    python tests/bench/bench_hearing.py --share 1 --digits FOLDER --write   # all of it, into hearing.md beside this
        [--engines moonshine,dictation,pocketsphinx] [--sets clean,turns] [--kept FOLDER]

The voices and sentences are those of spoken_set.py's held half. "At once" is what a lesson acts on; "by ear" what it
would act on but for the numbers that it always reads back (lesson_acceptance.py); "after a question" adds what one
read-back shows rightly; "wrong" is acted on though it was not meant. Talk about other things has its own column: acted
on as more than talk. In lessons' turns right is what one of two labellers heard. --digits is a folder and manifest of
recorded people saying digits, as of the Free Spoken Digit Dataset (CC BY-SA 4.0).
"""

import argparse
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any, NamedTuple

TESTS = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(TESTS.parent), str(TESTS), str(TESTS / "bench"), str(TESTS / "speech")]

import spoken_set  # noqa: E402 - only after the path is set
import spoken_thinking  # noqa: E402
import spoken_turns  # noqa: E402
from bench_speech import ENGINES, is_aside, is_rightly_heard, lines_of, raised, with_noise  # noqa: E402
from kept_hearings import Remembering  # noqa: E402
from rows import row  # noqa: E402

from chattutor.lesson.voice.hearing import Attention, ensemble_of  # noqa: E402
from chattutor.lesson.voice.lesson_acceptance import doubt_of  # noqa: E402
from speech.audio.sound import read_audio  # noqa: E402
from speech.hearings import Decision, Heard  # noqa: E402
from speech.recognition.recogniser import Recogniser  # noqa: E402

PAGE = Path(__file__).with_name("hearing.md")
HEAD = ("set", "engine", "n", "at once", "by ear", "after a question", "wrong", "talk acted on", "of real time")
REMEMBERED = {"moonshine", "dictation"}  # these get used to nobody


class Set(NamedTuple):
    """Sounds, and what is done to them first."""

    folder: Path
    noise: float | None = None
    factor: float | None = None


def sets(folder: Path, digits: Path | None) -> dict[str, Callable[[], Set]]:
    """The sets by name, each made when it is asked for."""

    def plain() -> Path:
        if not (folder / "plain").exists():
            spoken_set.make(folder / "plain", "held", takes=3)
        return folder / "plain"

    def made(name: str, make: Callable[[Path], int]) -> Path:
        make(folder / name)
        return folder / name

    found: dict[str, Callable[[], Set]] = {
        "clean": lambda: Set(plain()),
        "20 dB": lambda: Set(plain(), noise=20.0),
        "10 dB": lambda: Set(plain(), noise=10.0),
        "raised": lambda: Set(plain(), factor=1.2),
        "thinking": lambda: Set(made("thinking", lambda where: spoken_thinking.make(where, "held", 100))),
        "turns": lambda: Set(made("turns", lambda where: spoken_turns.make(where, "held", 180))),
    }
    return found | ({"digits": lambda: Set(digits)} if digits else {})


def heard(name: str, using: Set, share: int, kept: Path | None) -> tuple[Counter[str], float]:
    """How many of the outcomes, and the recogniser's share of real time on one processor."""
    recogniser: Recogniser = ENGINES[name](False)
    if kept is not None and name in REMEMBERED:
        recogniser = Remembering(recogniser, kept)
    attention, counts, spent, seconds = Attention(), Counter[str](), 0.0, 0.0
    ensemble = ensemble_of(attention, recogniser)
    lines = [one for one in lines_of(using.folder, None) if not one[2].get("noise") or one[2].get("labels")][::share]
    lines.sort(key=lambda one: (one[0], one[2].get("letter", "x")))
    for expecting, path, line in lines:
        asked = (expecting, line.get("letter", "x"))
        if (attention.expecting, attention.letter) != asked or not seconds:
            attention.expecting, attention.letter = asked
            ensemble.listen_for(attention.language())
        attention.tutor = line.get("tutor", "")
        sound = with_noise(raised(read_audio(path), using.factor), using.noise)
        began = time.process_time()
        hearing = ensemble.hear(sound)
        spent, seconds = spent + time.process_time() - began, seconds + sound.seconds
        event, doubt = hearing.event, "ask again"
        if isinstance(event, Heard):
            doubt = doubt_of(hearing, event, expecting, attention.found(event.text))
        counts[outcome(event, hearing.decision, doubt, line, attention)] += 1
    return counts, spent / max(seconds, 1e-9)


def outcome(event: Any, decision: Decision, doubt: str, line: dict[str, Any], attention: Attention) -> str:
    """What became of a line. Where the words are heard but what they mean is not sure, the tutor asks back too."""
    right = isinstance(event, Heard) and is_rightly_heard(event.text, line, attention.expecting)
    if isinstance(event, Heard) and doubt == "none" and attention.certainty(event.text) < 1.0:
        doubt = "read back"
    if is_aside(line):
        return "talk acted on" if doubt == "none" and not right else "talk"
    if doubt == "none":
        return "at once" if right else "wrong"
    if doubt == "ask again" or not right:
        return "asked again"
    return "by ear" if decision is Decision.ACCEPT and attention.certainty(event.text) == 1.0 else "read back"


def cells(what: str, name: str, counts: Counter[str], real: float) -> tuple[str, ...]:
    """One line of the table."""
    talk = counts["talk"] + counts["talk acted on"]
    said = max(1, sum(counts.values()) - talk)
    once = counts["at once"]
    figures = (once, once + counts["by ear"], once + counts["by ear"] + counts["read back"], counts["wrong"])
    acted = f"{counts['talk acted on']} of {talk}" if talk else ""
    row(f"{what}, {name}: at once", [100 * once / said], "%", note=f"n = {said}")
    row(f"{what}, {name}: wrong and believed", [100 * counts["wrong"] / said], "%", limit=1, note=f"n = {said}")
    return (what, name, str(said), *(f"{one / said:.3f}" for one in figures), acted, f"{real:.2f}")


def main() -> None:
    """Read the arguments and print the table."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--engines", default="moonshine,dictation,pocketsphinx")
    parser.add_argument("--sets", help="only these, with commas between")
    parser.add_argument("--share", type=int, default=6, help="one sound in so many (default: 6)")
    parser.add_argument("--digits", type=Path, metavar="FOLDER", help="recorded people saying digits")
    parser.add_argument("--made", type=Path, metavar="FOLDER", help="make the sounds here, and use those that are here")
    parser.add_argument("--kept", type=Path, metavar="FOLDER", help="remember hearings here")
    parser.add_argument("--write", action="store_true", help=f"put the table into {PAGE.name}")
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        found = sets(given.made or Path(folder), given.digits)
        lines: list[tuple[str, ...]] = [HEAD, tuple("---" for _ in HEAD)]
        for what in given.sets.split(",") if given.sets else found:
            using = found[what]()
            for name in given.engines.split(","):
                here = ENGINES[name](False).availability()
                if not here.ok:
                    print(f"{name}: {here.reason}")
                    continue
                lines.append(cells(what, name, *heard(name, using, given.share, given.kept)))
                print(" | ".join(lines[-1]), flush=True)
    if given.write:
        table = "\n".join(f"| {' | '.join(line)} |" for line in lines)
        command = f"python tests/bench/bench_hearing.py --share {given.share}"
        intro = (
            f"# What a lesson hears\n\n{date.today():%d %B %Y}, `{command}`: one sound in {given.share} of each set."
        )
        PAGE.write_text(f"{intro}\n\n{table}\n", "utf-8")


if __name__ == "__main__":
    main()
