"""Wrong verdicts: none. Generated (equation, step) pairs of every stage, right and wrong, judged by us and by sympy.

    python tests/bench/bench_verdicts.py [pairs] [processes]

Steps are the lines and moves of the solver, lines further on and multiplied, every documented wrong rule's lines, lines
a little out, and moves of all four operations on both sides and on one. sympy works each out from the trees for itself:
a stated line is balanced when both solution sets are equal, a move when both sides had it, or when the side that had it
is unchanged. Exits with 1 on any disagreement and prints it.
"""

import sys
from collections import Counter
from collections.abc import Iterator
from itertools import islice
from random import Random

import sympy
from pooled import pooled, told
from rows import row

from dialogue.algebra.board import board_of, equation_from
from dialogue.algebra.equation import Equation
from dialogue.algebra.linear import linear
from dialogue.algebra.misconceptions.rules import LINE_RULES
from dialogue.algebra.moves import Line, Move, Operation, Sides, carry_out
from dialogue.algebra.refusals import Refusal
from dialogue.algebra.solver import solve_by_steps
from dialogue.algebra.tree import Expression, Number, Unknown, constant, scaled, total, walk
from dialogue.algebra.with_sympy import solution, to_sympy
from dialogue.judgement import weigh
from dialogue.learner.families import drawing

STAGES = range(1, 16)
OPERATIONS: tuple[Operation, ...] = ("add", "subtract", "multiply", "divide")
SIDES: tuple[Sides, ...] = ("both", "unsaid", "left", "right")


def steps(equation: Equation, random: Random) -> Iterator[Line | Move]:
    """Steps from an equation, right and wrong, some hundreds."""
    right = [equation, *(step.equation for step in solve_by_steps(equation))]
    for after in right:
        yield Line(after)
        yield Line(after.swapped())
        factor = constant(random.choice((2, 3, 10, -1)))
        yield Line(carry_out(Move("multiply", factor), after))
        for off in (1, -1, 2):
            yield Line(Equation(after.left, total([after.right, constant(off)]), equation.letter))
    board = board_of(equation)
    for _, rule in LINE_RULES:
        for wrong in islice(rule(board), 12):
            yield Line(equation_from(wrong, equation.letter))
    for operand in operands(equation, random):
        for operation in OPERATIONS:
            for sides in SIDES:
                yield Move(operation, operand, sides)


def operands(equation: Equation, random: Random) -> Iterator[Expression]:
    """The numbers of the equation and others, zero among them, and lots of the unknown."""
    found = [piece for side in equation.sides() for piece in walk(side) if isinstance(piece, Number)]
    yield from random.sample(found, min(3, len(found)))
    for value in (0, -1, random.randint(2, 30)):
        yield constant(value)
    yield scaled(random.randint(1, 9), Unknown(equation.letter))


def sympy_says(equation: Equation, before: object, step: Line | Move) -> bool | None:
    """The verdict by sympy's own working; None for a division by zero."""
    if isinstance(step, Line):
        return bool(solution(step.equation) == before)
    operand = to_sympy(step.operand)
    if step.operation == "divide" and operand == 0:
        return None
    if step.operation in {"multiply", "divide"} and (operand == 0 or operand.free_symbols):
        return False  # not legal, whatever it gives
    if step.sides in {"both", "unsaid"}:
        return True
    side = to_sympy(equation.left if step.sides == "left" else equation.right)
    return bool(sympy.expand(worked(side, step.operation, operand) - side) == 0)


def worked(side: sympy.Expr, operation: str, operand: sympy.Expr) -> sympy.Expr:
    """A side after an operation."""
    match operation:
        case "add":
            return side + operand
        case "subtract":
            return side - operand
        case "multiply":
            return side * operand
    return side / operand


def result_agrees(equation: Equation, move: Move, result: Equation | None) -> bool:
    """Whether the line shown after a move is what sympy makes of each side."""
    if result is None or (move.operation == "divide" and linear(move.operand).coefficient):
        return True
    operand = to_sympy(move.operand)
    for name, before, after in zip(("left", "right"), equation.sides(), result.sides(), strict=True):
        moved = move.sides in {"both", "unsaid", name}
        wanted = worked(to_sympy(before), move.operation, operand) if moved else to_sympy(before)
        if sympy.expand(wanted - to_sympy(after)) != 0:
            return False
    return True


def checked(work: tuple[int, int, int]) -> tuple[Counter[str], list[str]]:
    """So many pairs of a stage and seed: how many of each verdict, and the disagreements."""
    stage, seed, most = work
    counts: Counter[str] = Counter()
    wrong: list[str] = []
    random = Random(seed)
    for task in drawing(stage, seed):
        before = solution(task.equation)
        for step in steps(task.equation, random):
            if counts.total() >= most:
                return counts, wrong
            try:
                ours = weigh(task.equation, step)
            except Refusal as refusal:
                counts[f"refused: {refusal.sentence}"] += 1
                continue
            counts[str(ours.balanced)] += 1
            agreed = ours.balanced is sympy_says(task.equation, before, step)
            if isinstance(step, Move):
                agreed = agreed and result_agrees(task.equation, step, ours.result)
            if not agreed:
                wrong.append(f"{task.equation.text()} ; {step} ; ours {ours}")
    return counts, wrong


def main() -> int:
    """Print the counts; 1 where there was a disagreement."""
    pairs = int(sys.argv[1]) if len(sys.argv) > 1 else 15_000
    processes = int(sys.argv[2]) if len(sys.argv) > 2 else 2
    chunks = max(1, pairs // (len(STAGES) * 20_000))
    each = -(-pairs // (len(STAGES) * chunks))
    work = [(stage, seed, each) for seed in range(chunks) for stage in STAGES]
    counts, wrong, seconds = pooled(checked, work, processes)
    print(f"{counts.total():,} pairs of {len(STAGES)} stages in {seconds:.0f} s: {dict(counts)}")
    row("verdicts that differ from sympy's", [len(wrong)], "", limit=0, note=f"of {counts.total():,}")
    return told("disagreements with sympy", wrong)


if __name__ == "__main__":
    sys.exit(main())
