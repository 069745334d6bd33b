"""What is answered, and where the lesson stands then, for everything that can be said in every phase.

``every_answer.txt`` is the whole table as a learner meets it: the phases, what may be said there, the wordings told
("asks again": the question of the phase), the phase after. ``python tests/tutor/test_every_answer.py`` writes it; the
difference shows what a change does.
"""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from talking import (
    CHECK,
    DISTRESS,
    EVERY_NUMBER,
    EXAMPLE,
    HINT,
    NO,
    NO_NUMBER,
    PAUSE,
    PHASES,
    REPEAT,
    SKIP,
    SLOWER,
    STOP,
    STUCK,
    UNCLEAR,
    UNDO,
    WHERE,
    WHY,
    WORDING,
    YES,
    Talk,
    line,
    move,
    respond,
    told,
    value,
)  # fmt: skip

from dialogue.acts import Act, Ask, Comment, PartMove, Refused, Seen, Try, Work
from dialogue.algebra.equation import read_equation
from dialogue.algebra.moves import Rewrite
from dialogue.tutor.core.state import Doubt, Game, Phase, Plan, State, Task, Turn, Utterance
from dialogue.tutor.session import begin

FILE = Path(__file__).with_name("every_answer.txt")
TWO = ("3x + 2 = 11", "5x - 1 = 9")
SAID: dict[str, tuple[Act | None, Doubt]] = {
    "hint": (HINT, "none"), "stuck": (STUCK, "none"), "yes": (YES, "none"), "no": (NO, "none"),
    "undo": (UNDO, "none"), "skip": (SKIP, "none"), "stop": (STOP, "none"), "pause": (PAUSE, "none"),
    "repeat": (REPEAT, "none"), "slower": (SLOWER, "none"), "progress": (WHERE, "none"), "why": (WHY, "none"),
    "check": (CHECK, "none"), "example": (EXAMPLE, "none"), "wording": (WORDING, "none"), "game": (Ask("game"), "none"),
    "unclear": (UNCLEAR, "none"), "distress": (DISTRESS, "none"), "silence": (None, "none"),
    "in doubt: subtract 2": (move("subtract", "2"), "read back"), "not heard": (move("add", "1"), "ask again"),
    "subtract 2": (move("subtract", "2"), "none"), "subtract 2, unsaid": (move("subtract", "2", "unsaid"), "none"),
    "add 2": (move("add", "2"), "none"), "subtract 2, right": (move("subtract", "2", "right"), "none"),
    "times 0": (move("multiply", "0"), "none"), "over x": (move("divide", "x"), "none"),
    "over 0": (move("divide", "0"), "none"), "move 2": (move("transfer", "2"), "none"),
    "swap": (Rewrite("swap"), "none"), "collect": (Rewrite("collect"), "none"),
    "2": (value("2"), "none"), "3": (value("3"), "none"), "9": (value("9"), "none"), "3x": (value("3x"), "none"),
    "11": (value("11"), "none"), "11 - 2": (value("11 - 2"), "none"), "3x = 9": (line("3x = 9"), "none"),
    "3x + 2 = 11": (line("3x + 2 = 11"), "none"), "6x + 4 = 22": (line("6x + 4 = 22"), "none"),
    "3x = 13": (line("3x = 13"), "none"), "3x = 10": (line("3x = 10"), "none"), "x = 3": (line("x = 3"), "none"),
    "x = 4": (line("x = 4"), "none"), "none": (NO_NUMBER, "none"), "every": (EVERY_NUMBER, "none"),
    "times 3": (told(move("multiply", "3")), "none"), "times 7": (told(move("multiply", "7")), "none"),
    "times 3, add 2": (told(move("multiply", "3"), move("add", "2")), "none"), "it tips": (Seen("left down"), "none"),
    "same off": (Seen("same off"), "none"), "put it back": (Seen("back"), "none"),
    "2x = 9": (line("2x = 9"), "none"), "2x = 10": (line("2x = 10"), "none"), "11 = 11": (line("11 = 11"), "none"),
    "both": (PartMove(None, None, "both"), "none"), "goal": (Comment("goal"), "none"),
    "object": (Comment("object"), "none"), "feel": (Comment("feel", "upset"), "none"),
    "sum": (Work(value("11 - 2").value, value("9").value), "none"), "try 2": (Try(value("2").value), "none"),
    "not stopping": (Refused(STOP), "none"), "meaning": (Ask("meaning"), "none"), "tell me": (Ask("answer"), "none"),
    "13": (value("13"), "none"), "10 + 3": (value("10 + 3"), "none"), "3x + 2 - 2": (value("3x + 2 - 2"), "none"),
}  # fmt: skip
GONE = ("3x + 4 = 3x + 9", "5x - 1 = 9")  # where the unknown goes
SAID_OF_GONE: dict[str, tuple[Act | None, Doubt]] = {
    "none": (NO_NUMBER, "none"), "every": (EVERY_NUMBER, "none"), "4 = 9": (line("4 = 9"), "none"),
    "0 = 5": (line("0 = 5"), "none"), "3x = 3x + 5": (line("3x = 3x + 5"), "none"),
    "3x + 4 = 3x + 9": (line("3x + 4 = 3x + 9"), "none"), "6x + 8 = 6x + 18": (line("6x + 8 = 6x + 18"), "none"),
    "13 = 18": (line("13 = 18"), "none"), "13 = 17": (line("13 = 17"), "none"), "x = 3": (line("x = 3"), "none"),
}  # fmt: skip


def _after(*meanings: Act | None, fresh: bool = False, doubt: Doubt = "none", texts: tuple[str, ...] = TWO) -> State:
    talk = Talk(*texts, seed=2, fresh=fresh)
    talk.say(*meanings, doubt=doubt)
    return talk.state


def in_every_phase() -> dict[Phase, State]:
    """A lesson in each phase."""
    half, tries = move("subtract", "2"), Game((read_equation("x + 1 = 3"), read_equation("x = 4")), 1, "", "move")
    scene = begin(Plan((Task(read_equation(TWO[0]), scene=True), Task(read_equation(TWO[1])))))
    asking = _after()
    return {
        "operations": _after(fresh=True),
        "first": _after(told(move("multiply", "3"), move("add", "2")), fresh=True),
        "move": asking,
        "part": _after(PartMove("divide")),
        "mend": _after(move("subtract", "2", "left")),
        "reconsider": _after(move("add", "2")),
        "left": _after(half),
        "right": _after(half, value("3x")),
        "line": _after(Rewrite("swap")),
        "check left": _after(line("x = 3")),
        "check right": _after(line("x = 4"), value("14"), texts=("3x + 2 = 2x + 5", TWO[1])),
        "count": _after(line("4 = 9"), texts=("3x + 4 = 3x + 9", TWO[1])),
        "account": _after(line("3x = 13")),
        "reason": replace(asking, phase="reason", held=(half,), back="move"),
        "confirm": _after(half, doubt="read back"),
        "offer stop": _after(DISTRESS),
        "paused": _after(PAUSE),
        "scene tips": scene.state,
        "scene level": respond(scene.state, Utterance("it tips"), Seen("right down")).state,
        "spot": replace(asking, phase="spot", game=tries),
        "compare": replace(asking, phase="compare"),
        "between": replace(asking, phase="between"),
        "done": _after(STOP),
    }


def where_the_unknown_goes() -> dict[Phase, State]:
    """A lesson in each phase of an equation whose unknown goes; it is on both sides, so no operations are asked."""
    half = move("subtract", "4")
    return {
        "move": _after(texts=GONE),
        "part": _after(PartMove("divide")),
        "mend": _after(move("subtract", "4", "left"), texts=GONE),
        "reconsider": _after(move("add", "4"), texts=GONE),
        "left": _after(half, texts=GONE),
        "right": _after(half, value("3x"), texts=GONE),
        "line": _after(Rewrite("swap"), texts=GONE),
        "check left": _after(line("x = 3"), texts=GONE),
        "check right": _after(line("x = 3"), value("13"), texts=GONE),
        "count": _after(line("4 = 9"), texts=GONE),
    }


def answers() -> Iterator[str]:
    """Every line of the file."""
    states = in_every_phase()
    assert set(states) == set(PHASES)
    yield from _answers(states, SAID, "")
    yield from _answers(where_the_unknown_goes(), SAID_OF_GONE, f" of {GONE[0]}")


def _answers(states: dict[Phase, State], said_in: dict[str, tuple[Act | None, Doubt]], of: str) -> Iterator[str]:
    alike: dict[tuple[str, str], list[Phase]] = {}  # what is said and answered, and in which phases
    for phase, state in states.items():
        assert state.phase == phase, (phase, state.phase)
        for name, (meaning, doubt) in said_in.items():
            said = Utterance("" if meaning is None else "given", "typed" if doubt == "none" else "spoken", doubt)
            alike.setdefault((name, _answer(phase, respond(state, said, meaning))), []).append(phase)
    rows: dict[tuple[str, str], list[str]] = {}
    for (name, answer), phases in alike.items():
        rows.setdefault((", ".join(phases), answer), []).append(name)
    yield from (f"{phases}{of} | {'; '.join(names)} | {answer}" for (phases, answer), names in rows.items())


def _answer(phase: Phase, turn: Turn) -> str:
    keys = ["asks again" if reply.key == f"ask {phase}" else reply.key for reply in turn.replies]
    return f"{', '.join(keys) or 'nothing'} -> {'the same' if turn.state.phase == phase else turn.state.phase}"


def test_every_answer() -> None:
    assert list(answers()) == FILE.read_text("utf-8").splitlines()


if __name__ == "__main__":
    FILE.write_text("\n".join(answers()) + "\n", "utf-8")
