"""Logs of an invented class: ``python tests/review/invented_class.py DIR [learners] [lessons] [seed]``.

Nobody in it is real. Each learner has habits drawn from a seed (tests/bench/bench_diagnosis holds the wrong rules), and
their words go through the tutor as a lesson's do, so that the logs are those that lessons would write, but for fixed
ids and times. Every header says ``"invented": true``.
"""

import sys
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from random import Random

from chattutor.session_logs.saved import plan_record
from chattutor.session_logs.schema import SCHEMA, EndLine, Header, Settings, TurnLine
from dialogue.algebra.equation import Equation
from dialogue.algebra.moves import Line, Move, Rewrite, Verdict
from dialogue.algebra.solver import next_step
from dialogue.algebra.writing import TYPED, write
from dialogue.learner.families import draw
from dialogue.tutor import Plan, Task, Utterance, begin, is_over, step
from dialogue.tutor.core.questions import due_line, due_value
from dialogue.tutor.core.state import State

TESTS = Path(__file__).parents[1]
sys.path[:0] = [str(TESTS), str(TESTS / "bench")]

from bench_diagnosis import Learner as Wrong  # noqa: E402 - the tests' own helpers are found only now
from logs import in_bytes, turn_line  # noqa: E402

FIRST, LESSON, TURN = datetime(2026, 1, 12, 9, 5, tzinfo=UTC), timedelta(days=2), timedelta(seconds=14)
BIRDS = ("heron", "plover", "dunlin", "curlew", "avocet", "knot")
HELD = (
    "subtract-coefficient", "combine-unlike-terms", "sign-drop", "one-side-only", "partial-distribution",
    "opposite-on-other-side", "subtract-coefficient", "combine-unlike-terms",
)  # fmt: skip
EQUATIONS, MOST_TURNS = 4, 45
FADED = (("operations", 4), ("first", 2))
SAYS = {"add": "add {} to both sides", "subtract": "take {} from both sides", "multiply": "times both sides by {}"}
CHATTER = ("I was away on Monday", "can we do the next one", "it is hot in here")


@dataclass
class Invented:
    """One learner: the wrong rule held, if any, and how often they ask, slip, speak, mumble or leave one out."""

    code: str
    error: str
    draw: Random
    start: int

    def __post_init__(self) -> None:
        """Draw the habits."""
        self.asks, self.slips = self.draw.choice([0.0, 0.05, 0.15, 0.4]), self.draw.choice([0.02, 0.05, 0.12])
        self.speaks, self.mumbles = self.draw.choice([0.0, 0.3, 1.0]), self.draw.choice([0.02, 0.08, 0.15])
        self.skips = self.draw.choice([0.0, 0.0, 0.02, 0.05])

    def says(self, state: State, lesson: int) -> Utterance:
        """What they say next."""
        roll = self.draw.random()
        text = self._text(state, lesson, roll)
        if self.draw.random() < self.speaks:
            mumbled = self.draw.random() < self.mumbles
            return Utterance(text, "spoken", self.draw.choice(["read back", "ask again"]) if mumbled else "none")
        return Utterance(text)

    def _text(self, state: State, lesson: int, roll: float) -> str:
        if state.phase == "confirm":
            return "yes" if roll < 0.6 else "no"
        if state.phase in {"reconsider", "offer stop"}:
            return "no"
        if roll < self.skips:
            return "skip"
        if roll < self.skips + self.asks:
            return self.draw.choice(["hint", "hint", "I'm stuck"])
        if roll > 0.99:
            return self.draw.choice(CHATTER)
        if state.phase == "reason":
            return f"it undoes {undone(state.held[0] if state.held else None)}"
        line, due = due_line(state), due_value(state)
        if line is not None and state.phase == "line":
            return line.text(TYPED)
        if due is not None:
            return write(due, TYPED) if roll > self.slips else "17"
        return self._step(state.equation, lesson)

    def _step(self, equation: Equation, lesson: int) -> str:
        if self.error and self.draw.random() < 0.75 - 0.2 * lesson:  # what is taught is held less from lesson to lesson
            wrong, by_rule = Wrong(self.error, 0.0, self.draw).step(equation)
            if by_rule:
                return worded(wrong, self.draw)
        return worded(next_step(equation), self.draw)


def undone(held: object) -> str:
    """What the step being explained undoes."""
    operation = getattr(held, "operation", "")
    return {"add": "the minus", "subtract": "the plus", "divide": "the times", "multiply": "the divide"}.get(
        operation, "the last thing"
    )


def worded(step: object, draw: Random) -> str:
    """A step in a learner's words."""
    match step:
        case Move(operation="divide", operand=operand):
            return f"{draw.choice(['divide', 'share'])} both sides by {write(operand, TYPED)}"
        case Move(operation=operation, operand=operand):
            said = SAYS[operation].format(write(operand, TYPED))
            return f"add... no, {said}" if draw.random() < 0.05 else said
        case Line(equation=equation):
            return equation.text(TYPED)
        case Verdict(kind=kind):
            return "no number works" if kind == "none" else "every number works"
        case Rewrite(how=how):
            return {"expand": "expand the bracket", "collect": "collect like terms", "swap": "swap the sides"}.get(
                str(how), "simplify"
            )
    return "I'm stuck"


def a_class(learners: int, seed: int = 1) -> list[Invented]:
    """The learners; about half hold a wrong rule."""
    draw = Random(seed)
    codes = [f"{bird}-{number:02}" for number in range(1, 40) for bird in BIRDS][:learners]
    return [
        Invented(
            code, draw.choice(HELD) if draw.random() < 0.5 else "", Random(f"{seed} {code}"), draw.choice([3, 5, 6])
        )
        for code in sorted(codes)
    ]


def session(learner: Invented, lesson: int) -> tuple[str, bytes]:
    """The name of the file and what is in it."""
    stages = [min(15, learner.start + lesson), min(15, learner.start + lesson + 1)]
    half = EQUATIONS // 2
    seed = learner.draw.randrange(1000)
    tasks = tuple(Task(each.equation, stage) for stage in stages for each in draw(stage, seed, half))
    plan = Plan(tasks, seed, FADED)
    began = FIRST + lesson * LESSON + timedelta(seconds=learner.draw.randrange(900))
    name = f"{learner.draw.getrandbits(64):016x}"
    header = Header(
        SCHEMA, name, learner.code, stamp(began), "invented", plan_record(plan), Settings(invented=True)
    )  # fmt: skip
    written = "".join(each for each in stamp(began) if each.isalnum())
    turns, end = _turns(learner, plan, lesson, began)
    return f"{written}-{name}.jsonl", in_bytes(header, turns, end)


def _turns(learner: Invented, plan: Plan, lesson: int, began: datetime) -> tuple[list[TurnLine], EndLine]:
    """The lines after the header."""
    turn = begin(plan)
    turns = [turn_line(0, stamp(began), turn)]
    while not is_over(turn.state) and len(turns) <= MOST_TURNS:
        said = learner.says(turn.state, lesson)
        turn = step(turn.state, said)
        turns.append(turn_line(len(turns), stamp(began + len(turns) * TURN), turn, said))
    why = "finished" if turn.state.place >= len(plan.tasks) else "stopped"
    return turns, EndLine(why, stamp(began + (len(turns) - 1) * TURN), len(turns))


def stamp(when: datetime) -> str:
    """As the logs have it."""
    return when.isoformat(timespec="milliseconds").replace("+00:00", "Z")


def write_class(folder: Path, learners: int = 30, lessons: int = 3, seed: int = 1) -> Path:
    """Write the logs; the folder."""
    for learner in a_class(learners, seed):
        home = folder / learner.code
        home.mkdir(parents=True, exist_ok=True)
        for lesson in range(lessons):
            if lesson and learner.draw.random() < 0.1:
                continue  # away that day
            name, content = session(learner, lesson)
            (home / name).write_bytes(content)
    return folder


if __name__ == "__main__":
    write_class(Path(sys.argv[1]), *map(int, sys.argv[2:]))
