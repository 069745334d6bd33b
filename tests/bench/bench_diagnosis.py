"""Invented learners, each holding one wrong rule and slipping now and then: is the rule found, and how soon?

    python tests/bench/bench_diagnosis.py [--equations 200] [--slips 0.03] [--error ID]

A learner uses the rule with probability HELD where it can be used (wrong rules are unstable: Payne & Squibb 1990;
the figure is our choice), writes one line or jumps to the answer, and otherwise works rightly. Wrong lines come from
the same rules that explain them, so this measures how far errors are confused with each other, not whether the
rules fit children: that is what judged steps and published examples are for (tests/algebra).

Printed: a line a planted error with the shares of its wrong lines where it is listed and listed first, what else is
listed first; then how many fresh learners (ten equations each) had the pattern named within three occurrences, and
in how many stretches another pattern was named; then turns to tell explanations apart, chosen against random.
"""

import argparse
import random
import statistics
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import TypeAlias

from rows import row

from dialogue.algebra.board import Board, Piece, board_of, equation_from
from dialogue.algebra.equation import Equation, read_equation
from dialogue.algebra.misconceptions import Explanation, error_table, explain
from dialogue.algebra.misconceptions.answers import answer
from dialogue.algebra.misconceptions.consistency import ObservedStep, weigh
from dialogue.algebra.misconceptions.discriminate import (
    REPEATED,
    TOLD,
    NextEquation,
    Question,
    beliefs_of,
    expected_answers,
    information,
    leading,
    questions,
    updated,
)
from dialogue.algebra.misconceptions.right_steps import right_lines
from dialogue.algebra.misconceptions.rules import LINE_RULES, RESULT_RULES
from dialogue.algebra.moves import Line, Move, Step, Verdict
from dialogue.algebra.reading import read_expression
from dialogue.algebra.tree import Unknown

Unclear: TypeAlias = tuple[Equation, tuple[Explanation, ...]]

HELD, JUMPS, BLOCK, OCCURRENCES, MOST_TURNS = 0.8, 0.4, 10, 3, 8
FAMILIES = (
    "x + {a} = {b}", "x - {a} = {b}", "{c}*x = {m}", "x/{c} = {a}", "{c}*x + {a} = {b}", "{c}*x - {a} = {b}",
    "x/{c} + {a} = {b}", "(x + {a})/{c} = {d}", "{b} - {c}*x = {a}", "{c}*(x + {a}) = {b}", "-{c}*(x - {a}) = {b}",
    "{e}*x + {a} = {c}*x + {b}", "{e}*x - {c}*x = {m}", "{c}*x - {e}*x + {a} = {b}", "-{c}*x = {m}",
    "{a} - {c}*(x - {d}) = {b}", "2*x/3 + {a} = {b}",
)  # fmt: skip
SPECIAL = {
    "decimal-point-slip": ("0.{c}*x = {m}", "0.{c}*x + {a} = {b}", "0.0{c}*x = {d}"),
    "zero-solution-confusion": ("{c}*x + {a} = {a}", "{c}*x = 0", "{c}*x + {a} = {c}*x + {b}"),
    "divide-by-unknown": ("{c}*x = {e}*x", "{e}*x = {d}*x"),
    "multiply-one-term-only": ("x/{c} + {a} = {b}", "x/{c} - {a} = {d}", "(x + {d})/{c} + {a} = {b}"),
    "divide-instead-of-multiply": ("x/{c} = {a}", "x/{c} + {a} = {b}", "(x + {a})/{c} = {d}"),
    "partial-distribution": ("{c}*(x + {a}) = {b}", "{c}*(x - {a}) = {b}", "{e}*(x + {a}) = {c}*x + {b}"),
    "distribution-sign": ("-{c}*(x - {a}) = {b}", "{b} - {c}*(x + {a}) = {d}", "-{c}*(x + {a}) = {b}"),
    "like-terms-sign": ("{c}*x - {e}*x = {m}", "{c}*x - {e}*x + {a} = {b}", "-{c}*x - {d}*x = {m}"),
    "sign-drop": ("-{c}*x = {m}", "{b} - {c}*x = {a}", "{c}*x + {b} = {a}", "-{c}*x + {a} = {b}"),
    "solution-refused": ("x + {b} = {a}", "{c}*x + {b} = {d}"),
    "turned-difference": ("{b} - x = {a}", "{b} - {c}*x = {a}"),
    "detached-minus": ("{b} - {c}*x + {a} = {d}", "{b} - x + {a} = {d}"),
    "coefficient-as-digit": ("{c}*x + x = {c}{d}", "{c}*x = {c}{d}"),
    "number-line": ("x + {a} = -{b}", "{c}*x + {b} = {a}"),
    "unknown-as-number": ("{e}*x = {a} + {c}*x", "{e}*x + {a} = {c}*x + {b}"),
}  # fmt: skip
MOVES = {"divide-by-zero", "divide-by-unknown", "same-operation"}


def drawn(draw: random.Random, error: str = "") -> Equation:
    """An equation on which the error can be made, as far as twenty tries go."""
    equation = read_equation("x = 1")
    for _ in range(20):
        small = draw.sample(range(2, 10), 3)
        numbers = dict(zip("cde", sorted(small), strict=True))
        numbers["d"], numbers["e"] = numbers["d"], max(small)
        numbers |= {"a": draw.randint(11, 39), "b": draw.randint(41, 98), "m": numbers["c"] * draw.randint(11, 19)}
        equation = read_equation(draw.choice(SPECIAL.get(error, FAMILIES)).format(**numbers))
        if not error or error not in error_table() or error in SPECIAL or any(_wrong_lines(equation, error)):
            return equation
    return equation


@dataclass
class Learner:
    """Holds one wrong rule; everything drawn from its own generator."""

    error: str
    slips: float
    draw: random.Random

    def step(self, equation: Equation) -> tuple[Step, bool]:
        """A step, and whether the wrong rule made it."""
        if self.draw.random() < HELD:
            wrong = self._by_rule(equation)
            if wrong is not None:
                return wrong, True
        if self.draw.random() < self.slips:
            slipped = self._written(equation, "arithmetic-slip")
            if slipped is not None:
                return slipped, False
        solution = equation.solution()
        if solution.value is None:
            return Verdict("none" if solution.kind == "none" else "every"), False
        return Line(_value(equation, solution.value)), False

    def _by_rule(self, equation: Equation) -> Step | None:
        if self.error == "divide-by-zero":
            return Move("divide", read_expression("0"))
        if self.error == "divide-by-unknown":
            return Move("divide", Unknown(equation.letter))
        if self.error == "zero-solution-confusion":
            kind = equation.solution().kind
            if kind == "one" and equation.solution().value != 0:
                return None
            return Verdict("every" if kind == "none" else "none")
        if self.error == "solution-refused":
            value = equation.solution().value
            return Verdict("none") if value is not None and (value < 0 or value.denominator != 1) else None
        return self._written(equation, self.error)

    def _written(self, equation: Equation, error: str) -> Line | None:
        """The wrong line, or the answer it leads to."""
        for boards in _wrong_lines(equation, error):
            if not boards:
                continue
            board = self.draw.choice(boards[:3])
            value = answer(board)
            if value is None or value == equation.solution().value:
                return None
            line = equation_from(board, equation.letter)
            return Line(_value(equation, value) if self.draw.random() < JUMPS else line)
        return None


def _wrong_lines(equation: Equation, error: str) -> Iterator[list[Board]]:
    """For each line on the way to the solution, the wrong lines the error makes of it."""
    for reached in right_lines(board_of(equation)):
        boards = [board for errors, rule in LINE_RULES if error in errors for board in rule(reached.board)]
        if reached.source is not None:
            for errors, spoil in RESULT_RULES:
                if error in errors:
                    boards += spoil(reached.source.board, reached.board)
        yield boards


def _value(equation: Equation, value: object) -> Equation:
    left = (Piece(board_of(read_equation("x = 1")).left[0].coefficient, "unknown"),)
    right = board_of(read_equation(f"x = {value}")).right
    return equation_from(Board(left, right, board_of(equation).decimals), equation.letter)


@dataclass
class Tally:
    """What became of one planted error."""

    made: int = 0
    listed: int = 0
    first: Counter[str] = field(default_factory=Counter)
    learners: int = 0
    in_time: int = 0
    wrong_pattern: int = 0


def diagnose(
    error: str, equations: int, slips: float, seed: int
) -> tuple[Tally, list[tuple[Equation, tuple[Explanation, ...]]]]:
    """Run fresh learners of one planted error over so many equations."""
    tally, unclear = Tally(), []
    draw = random.Random(f"{seed} {error}")
    for _ in range(equations // BLOCK):
        learner, attempts, made, named_at = Learner(error, slips, draw), [], 0, None
        others: set[str] = set()
        for _ in range(BLOCK):
            equation = drawn(draw, error)
            step, by_rule = learner.step(equation)
            found = explain(equation, step)
            attempts.append(ObservedStep(equation, found))
            if by_rule:
                made += 1
                tally.made += 1
                tally.listed += error in [one.error for one in found]
                tally.first[found[0].error if found else "unexplained"] += 1
                if len(found) > 1 and isinstance(step, Line):
                    unclear.append((equation, found))
            for pattern in weigh(attempts).patterns:
                if error not in pattern.errors:
                    others.add(pattern.error)
                elif named_at is None:
                    named_at = made
        if made >= OCCURRENCES:
            tally.learners += 1
            tally.in_time += named_at is not None and named_at <= OCCURRENCES
        tally.wrong_pattern += bool(others)
    return tally, unclear


def turns_to_tell(error: str, found: tuple[Explanation, ...], draw: random.Random, chosen: bool) -> int:
    """Questions and further equations until one error is likely enough to act on, at most MOST_TURNS.

    Each turn offers what was not asked yet and four equations: the most telling is taken, or one at random.
    """
    beliefs, unasked = beliefs_of(found), list(questions(found))
    for turn in range(MOST_TURNS):
        if leading(beliefs) is not None:
            return turn
        offers: list[Question | NextEquation] = list(unasked)
        for _ in range(4):
            equation = drawn(draw)
            expected = expected_answers(beliefs, equation)
            offers.append(NextEquation(equation, expected, information(beliefs, expected, REPEATED)))
        taken = max(offers, key=lambda offer: offer.bits) if chosen else draw.choice(offers)
        if isinstance(taken, Question):
            unasked.remove(taken)
            told = draw.random() < TOLD
            said: object = taken.expected[error] if told else draw.choice(list(taken.expected.values()))
            beliefs = updated(beliefs, taken.expected, said, TOLD)
        else:
            held = draw.random() < HELD
            said = taken.expected.get(error) if held else taken.equation.solution().value
            beliefs = updated(beliefs, taken.expected, said, REPEATED)
    return MOST_TURNS


def main() -> None:
    reader = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    reader.add_argument("--equations", type=int, default=200)
    reader.add_argument("--slips", type=float, default=0.03)
    reader.add_argument("--error", action="append")
    given = reader.parse_args()
    ids = given.error or [error for error in error_table() if error != "running-equals"]
    learners = in_time = wrong = blocks = 0
    chosen: list[int] = []
    at_random: list[int] = []
    print(f"{'planted':30} {'made':>5} {'listed':>7} {'first':>6} {'named':>7} {'other':>6}  also listed first")
    for error in ids:
        tally, unclear = diagnose(error, given.equations, given.slips, 1)
        made = max(tally.made, 1)
        also = ", ".join(f"{name} {count}" for name, count in tally.first.most_common(4) if name != error)
        print(
            f"{error:30} {tally.made:5} {tally.listed / made:7.0%} {tally.first[error] / made:6.0%} "
            f"{tally.in_time:3}/{tally.learners:3} {tally.wrong_pattern:6}  {also}",
            flush=True,
        )
        learners, in_time = learners + tally.learners, in_time + tally.in_time
        wrong, blocks = wrong + tally.wrong_pattern, blocks + given.equations // BLOCK
        for equation, found in unclear[:8]:
            if error in [one.error for one in found]:
                chosen.append(turns_to_tell(error, found, random.Random(equation.text()), True))
                at_random.append(turns_to_tell(error, found, random.Random(equation.text()), False))
    print(f"pattern named within {OCCURRENCES} occurrences: {in_time}/{learners} = {in_time / max(learners, 1):.1%}")
    print(f"another pattern named: {wrong}/{blocks} = {wrong / max(blocks, 1):.1%}")
    within = f"n = {learners}, within {OCCURRENCES} occurrences"
    row("planted pattern named", [100 * in_time / max(learners, 1)], "%", limit=95, limit_is="aim", most=False,
        note=within)  # fmt: skip
    row("another pattern named", [100 * wrong / max(blocks, 1)], "%", limit=1, limit_is="aim", note=f"n = {blocks}")
    if chosen:
        row("turns to tell explanations apart", chosen, "", peer="asking at random", theirs=at_random)
        print(
            f"turns to tell explanations apart, n={len(chosen)}: chosen {statistics.mean(chosen):.2f}, "
            f"at random {statistics.mean(at_random):.2f}"
        )


if __name__ == "__main__":
    main()
