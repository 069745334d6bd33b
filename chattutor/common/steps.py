"""Steps and judgements as the JSON of ``chattutor judge``, and back."""

from typing import Any, get_args

from chattutor.common.jsonlines import Unusable, text_of
from dialogue.acts import Meaning, Value
from dialogue.algebra.equation import Equation, read_equation
from dialogue.algebra.moves import Line, Move, Operation, Rewrite, Sides, Step, Verdict
from dialogue.algebra.reading import read_expression
from dialogue.algebra.tree import Unknown
from dialogue.judgement import Judgement, judge


def step_judged(equation: Equation, step: Step) -> dict[str, Any]:
    """The judgement as the JSON object of the contract."""
    return judgement_json(judge(equation, step))


def judgement_json(judgement: Judgement) -> dict[str, Any]:
    """A judgement as the JSON object of the contract."""
    return {
        "balanced": judgement.balanced,
        "closer": judgement.closer,
        "result": judgement.result.text() if judgement.result else None,
        "errors": list(judgement.errors),
        "signs": list(judgement.signs),
        "reason": judgement.reason,
    }


def step_of(given: object, letter: str) -> Step:
    """The step of the JSON contract. Raises Unusable, or the Refusal of the mathematics inside it."""
    if not isinstance(given, dict) or len(given) != 1:
        raise Unusable('"step" must be an object with one of "move", "state", "rewrite".')
    match given:
        case {"move": dict(move)}:
            operation = _one_of(move.get("operation"), "operation", get_args(Operation))
            sides = _one_of(move.get("sides", "both"), "sides", get_args(Sides))
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


def _one_of(given: object, key: str, allowed: tuple[str, ...]) -> Any:
    if given not in allowed:
        raise Unusable(f'"{key}" must be one of {", ".join(allowed)}.')
    return given


def step_meant(meaning: Meaning, letter: str) -> Step | None:
    """The step among the meanings: a bare value counts as the answer; None for what is no step."""
    match meaning:
        case Move() | Line() | Rewrite() | Verdict():
            return meaning
        case Value(value):
            return Line(Equation(Unknown(letter), value, letter))
    return None
