"""Talking to the tutor in a test: meanings given straight to it, and a way to see every reply."""

from collections.abc import Iterator
from typing import get_args

from dialogue.acts import Act, Ask, Control, Describe, Disclosure, Interpretation, Say, Unclear, Value
from dialogue.algebra.equation import Equation, read_equation
from dialogue.algebra.moves import Line, Move, Operation, Sides, Verdict
from dialogue.algebra.operations import Done, done_by
from dialogue.algebra.reading import read_expression
from dialogue.learner.families import draw
from dialogue.tutor import session
from dialogue.tutor.core.state import Doubt, Phase, Plan, State, Task, Turn, Utterance
from dialogue.tutor.session import begin

PHASES: tuple[Phase, ...] = get_args(Phase)
HINT, STUCK, YES, NO = Ask("hint"), Say("stuck"), Say("yes"), Say("no")
UNDO, SKIP, STOP, PAUSE = Control("undo"), Control("skip"), Control("stop"), Control("pause")
UNCLEAR, DISTRESS = Unclear(), Disclosure()
NO_NUMBER, EVERY_NUMBER = Verdict("none"), Verdict("every")
REPEAT, SLOWER, WHERE, WHY, CHECK, EXAMPLE, WORDING = (
    Ask("repeat"), Ask("slower"), Ask("progress"), Ask("why"), Ask("check"), Ask("example"), Ask("wording"),
)  # fmt: skip

# invented, beside the families: identities, contradictions, nested brackets, decimals, fractions, zero and no sums
OWN = (
    "2(n + 3) = 2n + 6", "5x - 5x = 0", "3n + 4 = 3n + 9", "x + 1 = x", "2(3(x - 1) + 4) = 26",
    "4(2(y + 1) - (y - 3)) = 60",
    "0.5n = 3", "1.2x + 0.4 = 4", "0.25(k - 8) = 1.5", "x/2 + x/3 = 5", "(n + 1)/2 = (n + 4)/3", "(2x - 1)/5 - x/4 = 1",
    "2/3 x = 8", "7x = 0", "-x = 4", "8 - x = 8", "-2(x - 7) = 3x - 1", "x = 9", "14 = 3x + 2", "3x + 2x - x = 20",
    "(3x + 6)/3 = 5", "1/2(4x - 6) = x", "100x = 1", "x/7 = -3", "6 - 2(x + 1) = x/2",
)  # fmt: skip


def task(text: str) -> Task:
    """A task of no stage."""
    return Task(read_equation(text))


def typed_turns(equation: str, *texts: str, fresh: bool = True) -> list[Turn]:
    """The turns of a lesson in which these are typed; asked all that a newcomer is, or the move alone."""
    faded = () if fresh else (("operations", 4), ("first", 2))
    turns = [begin(Plan((task(equation), task("5n + 2 = 17")), 3, faded))]
    for text in texts:
        turns.append(session.step(turns[-1].state, Utterance(text)))
    return turns


def typed_said(equation: str, *texts: str, fresh: bool = True) -> str:
    """What the tutor says at last."""
    return " ".join(reply.text for reply in typed_turns(equation, *texts, fresh=fresh)[-1].replies)


def typed_keys(equation: str, *texts: str, fresh: bool = True) -> list[str]:
    """The names of what the tutor says at last."""
    return [reply.key for reply in typed_turns(equation, *texts, fresh=fresh)[-1].replies]


def move(operation: Operation, operand: str, sides: Sides = "both", letter: str = "x") -> Move:
    """A move, its operand as text."""
    return Move(operation, read_expression(operand, letter), sides)


def line(text: str) -> Line:
    """A stated line."""
    return Line(read_equation(text))


def value(text: str, letter: str = "x") -> Value:
    """A value or expression alone."""
    return Value(read_expression(text, letter))


def told(*operations: Move | Done) -> Describe:
    """What happens to the unknown."""
    done = tuple(done_by(one) if isinstance(one, Move) else one for one in operations)
    return Describe(tuple(one for one in done if one is not None))


def meant(*acts: Act | None, sure: bool = True, rivals: tuple[tuple[Act, ...], ...] = ()) -> Interpretation | None:
    """What a turn was taken to mean; None alone is silence."""
    found = tuple(act for act in acts if act is not None)
    return Interpretation(found, sure and found != (UNCLEAR,), rivals=rivals) if found else None


def respond(state: State, said: Utterance, act: Act | None) -> Turn:
    """One turn of one act."""
    return session.respond(state, said, meant(act))


class Talk:
    """A lesson in progress; ``say`` gives the turn. Questions about the unknown are faded unless asked for, and
    a "how do you know?" is answered with something that is no step, unless the test is about it."""

    def __init__(self, *texts: str, seed: int = 0, fresh: bool = False, reasons: bool = False) -> None:
        faded = () if fresh else (("operations", 4), ("first", 2))
        self.turns = [begin(Plan(tuple(map(task, texts)), seed, faded))]
        self.reasons = reasons

    @property
    def state(self) -> State:
        return self.turns[-1].state

    @property
    def keys(self) -> list[str]:
        """The keys of the last replies, without the thanks for a reason."""
        return [reply.key for reply in self.turns[-1].replies if reply.key != "reason taken" or self.reasons]

    @property
    def text(self) -> str:
        """The last replies as text."""
        said = self.turns[-1].replies
        return " ".join(reply.text for reply in said if reply.key != "reason taken" or self.reasons)

    def turn(self, *acts: Act, sure: bool = True, rivals: tuple[tuple[Act, ...], ...] = ()) -> Turn:
        """One turn of several acts."""
        self.turns.append(session.respond(self.state, Utterance("given"), meant(*acts, sure=sure, rivals=rivals)))
        return self.turns[-1]

    def say(self, *meanings: Act | None, doubt: Doubt = "none") -> Turn:
        """Say one thing after another; the last turn."""
        for meaning in meanings:
            said = Utterance("(given as a meaning)", "typed" if doubt == "none" else "spoken", doubt)
            self.turns.append(respond(self.state, said, meaning))
            if self.state.phase == "reason" and not self.reasons:
                self.turns.append(respond(self.state, Utterance("..."), UNCLEAR))
        return self.turns[-1]


def equations() -> Iterator[Equation]:
    """Some of every family, and the list above."""
    for stage in range(1, 16):
        yield from (drawn.equation for drawn in draw(stage, 7, 6))
    yield from map(read_equation, OWN)
