"""A two-minute explanation of an idea, for the board or a recording: what to say, write and ask, and where to pause.

It does what a recorded explanation usually leaves out: it waits after each question, shows the wrong step and what is
wrong with it, puts the answer in, and ends with a question for the listener.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal, TypeAlias

from chattutor.tomorrow.telling_equations import contrast
from dialogue.algebra.equation import Equation
from dialogue.algebra.misconceptions import wrong_answers
from dialogue.algebra.misconceptions.catalogue import Belief
from dialogue.algebra.solver import in_words, solve_by_steps, value_at
from dialogue.algebra.tree import constant
from dialogue.algebra.writing import BOARD, write
from dialogue.verbalising.speak import say_equation, say_expression

Do: TypeAlias = Literal["say", "write", "ask", "pause"]
WORDS_A_MINUTE = 130  # of somebody explaining at a board (a choice; ordinary speech is about 150, from memory)
WRITING = 3  # seconds a line on the board takes
THINKING, LOOKING = 6, 3  # seconds of pause after a question (at least 3: common practice), and after a line


@dataclass(frozen=True, slots=True)
class Cue:
    """One thing to do. ``text`` is what is said, asked or written (an equation or a note); of a pause, why."""

    do: Do
    text: str
    seconds: int = 0


def explanation(belief: Belief, equation: Equation) -> list[Cue]:
    """The script, in order."""
    return [_timed(cue) for cue in _cues(belief, equation)]


def length(cues: list[Cue]) -> int:
    """Seconds it takes, about."""
    return sum(cue.seconds for cue in cues)


def _timed(cue: Cue) -> Cue:
    if cue.do in {"say", "ask"}:
        return Cue(cue.do, cue.text, round(len(cue.text.split()) * 60 / WORDS_A_MINUTE))
    return cue if cue.seconds else Cue(cue.do, cue.text, WRITING)


def _cues(belief: Belief, equation: Equation) -> Iterator[Cue]:
    letter, solution = equation.letter, equation.solution().value
    yield Cue("write", equation.text(BOARD))
    yield Cue("say", f"Read it with me: {say_equation(equation)}.")
    yield Cue("say", f"Somebody looks at this and thinks: {_lower(belief.says)}")
    wrong = next(iter(wrong_answers(equation).get(belief.error, ())), None)
    if wrong is not None:
        yield Cue("write", f"{letter} = {write(constant(wrong), BOARD)} ?")
        yield Cue("ask", f"How could we find out whether {letter} is {_spoken(wrong)}, without solving anything?")
        yield Cue("pause", "let everybody think", THINKING)
        yield from _put_in(equation, wrong)
        yield Cue("say", "The two sides differ, so it cannot be. And yet there was a reason for thinking so.")
    yield Cue("ask", belief.opens)
    yield Cue("pause", "wait; take two or three answers before saying anything", THINKING)
    yield Cue("say", "Now line by line, the same on both sides each time.")
    for worked in solve_by_steps(equation):
        yield Cue("say", in_words(worked.step))
        yield Cue("write", worked.equation.text(BOARD))
        yield Cue("pause", "let them check the line", LOOKING)
    if solution is not None:
        yield from _put_in(equation, solution)
        yield Cue("say", f"Both sides are the same: {letter} is {_spoken(solution)}.")
    one, other = contrast(belief.error)
    yield Cue("write", f"{one.text(BOARD)}     and     {other.text(BOARD)}")
    yield Cue("ask", belief.ask)
    yield Cue("pause", "let them talk to a neighbour", THINKING)
    yield Cue("ask", f"And now you: {belief.board[-1]}")


def _put_in(equation: Equation, value: Fraction) -> Iterator[Cue]:
    left, right = (value_at(side, value) for side in equation.sides())
    yield Cue("say", f"Put {_spoken(value)} in place of {equation.letter}. The left side is {_spoken(left)}, the right "
              f"side is {_spoken(right)}.")  # fmt: skip
    yield Cue("write", f"left {write(constant(left), BOARD)}, right {write(constant(right), BOARD)}")


def _spoken(value: Fraction) -> str:
    return say_expression(constant(value))


def _lower(says: str) -> str:
    return says if says.startswith(("I ", "I'")) else f"{says[:1].lower()}{says[1:]}"
