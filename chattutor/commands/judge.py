"""``chattutor judge``: whether a step keeps the balance, whether it comes closer, and which errors explain it."""

import argparse
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from chattutor.commands import SUMMARIES

if TYPE_CHECKING:
    from dialogue.algebra.equation import Equation
    from dialogue.algebra.moves import Step

DESCRIPTION = """\
Reads {"equation", "step"} or {"equation", "text"} a line from standard input, step being one of
  {"move": {"operation": "add|subtract|multiply|divide", "operand": "3", "sides": "both|left|right|unsaid"}}
  {"state": "3*x = 12"}, {"state": "no solution"}, {"state": "all numbers"}
  {"rewrite": "expand|collect|swap|simplify"}
Writes {"balanced": true|false|null, "closer", "result", "errors", "reason"} a line; null where the step is undefined.
With "text" the words are understood first, and "meaning" is given too.
A line that cannot be read gives {"error": ...}, and exit code 1 at the end.
"""

NOT_A_STEP: dict[str, Any] = {"balanced": None, "closer": False, "result": None, "errors": [], "reason": "not a step"}


def add_parser(subparsers: Any) -> None:
    """Describe the command."""
    subparsers.add_parser(
        "judge",
        help=SUMMARIES["judge"],
        description=DESCRIPTION,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )


def run(args: argparse.Namespace) -> int:
    """Answer standard input."""
    from chattutor.jsonlines import answer_lines, text_of
    from dialogue.algebra.equation import read_equation
    from dialogue.meaning import to_json

    read = lru_cache(maxsize=1024)(read_equation)

    def answer(given: dict[str, Any]) -> dict[str, Any]:
        equation = read(text_of(given, "equation"))
        if "text" not in given:
            return judged(equation, step_of(given.get("step"), equation.letter))
        from dialogue.language.understand import understand  # the grammar is not needed where steps are given

        meaning = understand(text_of(given, "text"), "any", equation.letter)
        step = step_meant(meaning, equation.letter)
        out = NOT_A_STEP if step is None else judged(equation, step)
        return out | {"meaning": to_json(meaning)}

    return answer_lines(answer)


def judged(equation: "Equation", step: "Step") -> dict[str, Any]:
    """The judgement as the JSON object of the contract."""
    from dialogue.algebra.judge import judge

    judgement = judge(equation, step)
    return {
        "balanced": judgement.balanced,
        "closer": judgement.closer,
        "result": judgement.result.text() if judgement.result else None,
        "errors": list(judgement.errors),
        "reason": judgement.reason,
    }


def step_of(given: object, letter: str) -> "Step":
    """The step of the JSON contract. Raises Unusable, or the Refusal of the mathematics inside it."""
    from chattutor.jsonlines import Unusable, text_of
    from dialogue.algebra.equation import read_equation
    from dialogue.algebra.moves import Line, Move, Rewrite, Verdict
    from dialogue.algebra.reading import read_expression

    if not isinstance(given, dict) or len(given) != 1:
        raise Unusable('"step" must be an object with one of "move", "state", "rewrite".')
    match given:
        case {"move": dict(move)}:
            operation, sides = move.get("operation"), move.get("sides", "both")
            if operation not in {"add", "subtract", "multiply", "divide", "transfer"}:
                raise Unusable('"operation" must be add, subtract, multiply, divide or transfer.')
            if sides not in {"both", "left", "right", "unsaid"}:
                raise Unusable('"sides" must be both, left, right or unsaid.')
            return Move(operation, read_expression(text_of(move, "operand"), letter), sides)
        case {"state": "no solution"}:
            return Verdict("none")
        case {"state": "all numbers"}:
            return Verdict("every")
        case {"state": str(text)}:
            return Line(read_equation(text, letter))
        case {"rewrite": "expand" | "collect" | "swap" | "simplify" as how}:
            return Rewrite(how)
    raise Unusable(
        '"step" must hold a "move" object, a "state" string, or a "rewrite" (expand, collect, swap, simplify).'
    )


def step_meant(meaning: object, letter: str) -> "Step | None":
    """The step among the meanings: a bare value counts as the answer; None for what is no step."""
    from dialogue.algebra.equation import Equation
    from dialogue.algebra.moves import Line, Move, Rewrite, Verdict
    from dialogue.algebra.tree import Unknown
    from dialogue.meaning import Value

    match meaning:
        case Move() | Line() | Rewrite() | Verdict():
            return meaning
        case Value(value):
            return Line(Equation(Unknown(letter), value, letter))
    return None
