"""Judging: any equation and any step give a judgement or a refusal, and sympy says the same of the balance.

The first byte chooses the kind of step, and whether sympy is asked; then two lines: the equation and the step.
"""

from harness import instrumented, run
from move_oracle import move_keeps_solutions

with instrumented("dialogue.algebra"):
    from dialogue.algebra.equation import read_equation
    from dialogue.algebra.misconceptions import explain
    from dialogue.algebra.moves import Line, Move, Rewrite, Step, Verdict
    from dialogue.algebra.reading import OWN, read_expression
    from dialogue.algebra.refusals import Refusal
    from dialogue.judgement import judge

from dialogue.algebra.with_sympy import solution

OPERATIONS = ("add", "subtract", "multiply", "divide", "transfer")
SIDES = ("both", "left", "right", "unsaid")
HOW = ("expand", "collect", "swap", "simplify")
TEXTS = (
    "3x + 2 = 11\n3x = 9", "3x + 2 = 11\n3x = 13", "2(x-3) = 10\n2x - 3 = 10", "x/4 = 3\nx = 12", "5 - 2x = x\n5 = -x",
    "3x + 2 = 11\n2", "4x = 2x + 6\n2x", "0.5x = 3\n0.5", "7 = 7\n0", "x + 1 = x\n1 = 0", "1/2n - 3 = 2/3n\n6",
)  # fmt: skip


def one(data: bytes) -> None:
    """One equation and one step from it."""
    if not data:
        return
    kind, (first, _, second) = data[0], data[1:].decode("utf-8", "ignore").partition("\n")
    try:
        equation = read_equation(first)
        step = _step(kind, second, equation.letter)
        judgement = judge(equation, step)
    except Refusal:
        return
    assert not (judgement.balanced and judgement.errors and not isinstance(step, Move)), "a right line has no error"
    assert not judgement.closer or judgement.balanced, "what breaks the balance comes no closer"
    assert tuple(each.error for each in explain(equation, step)) == judgement.errors
    if judgement.result is not None:
        read_equation(judgement.result.text(), equation.letter, OWN)
    if kind & 128:
        _as_sympy_says(equation, step, judgement.balanced)


def _step(kind: int, text: str, letter: str) -> Step:
    match kind % 4:
        case 0:
            return Line(read_equation(text, letter))
        case 1:
            return Verdict("none" if kind & 4 else "every")
        case 2:
            return Rewrite(HOW[kind // 4 % 4])
        case _:
            operand = read_expression(text, letter)
            return Move(OPERATIONS[kind // 16 % 5], operand, SIDES[kind // 4 % 4])  # type: ignore[arg-type]


def _as_sympy_says(equation, step: Step, balanced: bool | None) -> None:  # type: ignore[no-untyped-def]
    match step:
        case Line(stated):
            assert balanced == (solution(equation) == solution(stated)), "sympy disagrees about the line"
        case Verdict(kind):
            assert balanced == (solution(equation).kind == kind), "sympy disagrees about the verdict"
        case Move(_, _, "both" | "unsaid") if balanced:
            assert move_keeps_solutions(equation, step), "sympy says that the move breaks the balance"


def seeds() -> list[bytes]:
    """Sound inputs."""
    return [bytes([kind]) + text.encode() for kind in (0, 128, 1, 2, 3, 147, 51, 183) for text in TEXTS]


if __name__ == "__main__":
    run(one, seeds())
