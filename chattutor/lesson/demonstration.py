"""Playing an invented session: what the learner said there goes through the tutor again, on the screen asked for."""

import time
from pathlib import Path

from chattutor.common.exits import FINE, CannotGoOn
from chattutor.lesson.ports import Face
from chattutor.session_logs.reader import read_session
from chattutor.session_logs.replay import replay
from chattutor.session_logs.transcript import LEARNER, learner_words

FOLDER = Path(__file__).parents[2] / "transcripts_demo"  # beside the package, in a checkout and once installed
MARK = "A lesson with an invented learner: nobody said this, and you need not answer."


def names() -> list[str]:
    """The invented sessions there are."""
    return sorted(path.stem for path in FOLDER.glob("*.jsonl"))


def play_session(name: str | None, face: Face, pause: float) -> int:
    """Play one session to its end; the exit code. Raises CannotGoOn where there is none of that name."""
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
