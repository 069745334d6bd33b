"""The teacher's key: for each equation its answer, the steps, and which wrong answer points to which error."""

from dataclasses import dataclass
from fractions import Fraction

from chattutor.paper.sets import doing
from dialogue.algebra.equation import Equation, Solution
from dialogue.algebra.misconceptions import error_table
from dialogue.algebra.solver import in_words, solve_by_steps
from dialogue.algebra.tree import decimal_text
from dialogue.algebra.writing import BOARD
from dialogue.learner.wrong_answer_paths import first_answers

SPECIAL = {"none": "No number solves it.", "every": "Every number solves it."}
MOST_POINTERS = 7  # wrong answers listed for one equation
MOST_NAMED = 2  # errors named for one wrong answer


@dataclass(frozen=True, slots=True)
class KeyEntry:
    """One equation of the key. ``steps`` are (what is done, the line it gives); ``pointers`` (wrong answer, errors)."""

    equation: Equation
    answer: str
    steps: tuple[tuple[str, str], ...]
    pointers: tuple[tuple[str, str], ...]


def key_entry(equation: Equation) -> KeyEntry:
    """The key to one equation."""
    solution = equation.solution()
    steps = tuple((in_words(worked.step), worked.equation.text(BOARD)) for worked in solve_by_steps(equation))
    return KeyEntry(equation, answer_text(equation, solution), steps, _pointers(equation, solution))


def answer_text(equation: Equation, solution: Solution) -> str:
    """``n = 7/4 (1.75)``, or in words where there is no one number."""
    if solution.value is None:
        return SPECIAL[solution.kind]
    return f"{equation.letter} = {number_text(solution.value, equation.decimals)}"


def number_text(value: Fraction, decimals: bool = False) -> str:
    """A number as a teacher meets it on paper: ``\N{MINUS SIGN}3``, ``7/4 (1.75)``; where the equation is written with
    ``decimals``, ``1.75`` alone."""
    sign = "\N{MINUS SIGN}" if value < 0 else ""
    text = f"{sign}{abs(value)}"
    decimal = decimal_text(abs(value), 3)
    if value.denominator == 1 or decimal is None:
        return text
    return f"{sign}{decimal}" if decimals else f"{text} ({sign}{decimal})"


def _pointers(equation: Equation, solution: Solution) -> tuple[tuple[str, str], ...]:
    by_value: dict[Fraction, list[str]] = {}
    for error, value in first_answers(equation).items():
        if value != solution.value:
            by_value.setdefault(value, []).append(error)
    some = list(by_value.items())[:MOST_POINTERS]
    return tuple((number_text(value, equation.decimals), _errors_text(errors)) for value, errors in some)


def _errors_text(errors: list[str]) -> str:
    """The errors behind one wrong answer, the likeliest first; after the second the rest are only counted."""
    ranked = sorted(errors, key=lambda error: -error_table()[error].prior)
    rest = len(ranked) - MOST_NAMED
    text = ", or ".join(doing(error) for error in ranked[:MOST_NAMED])
    return text if rest <= 0 else f"{text} (and {rest} more)"
