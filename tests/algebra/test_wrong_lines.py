"""Every wrong rule on every kind of line, exactly, with the right steps beside it and what they lead to.

``data/wrong_lines.toml`` is what the search for errors has to choose from: for each line what each rule makes of it, in
order. ``python tests/algebra/test_wrong_lines.py`` writes it anew; read the difference as a teacher would. One thing in
it is no teacher's: ``directed_numbers`` also takes a number that stays on its side for one that crossed, so that
``4n + 9 = 37`` ends in 37/2 by "number-line".
"""

import json
import tomllib
from collections.abc import Iterable
from pathlib import Path

import pytest

from dialogue.algebra.board import Board, Piece, board_of, equation_from
from dialogue.algebra.equation import read_equation
from dialogue.algebra.misconceptions import explain, wrong_answers
from dialogue.algebra.misconceptions.right_steps import right_lines, tidied, undone
from dialogue.algebra.misconceptions.rules import (
    LINE_RULES,
    RESULT_RULES,
    brackets,
    collecting,
    documented,
    inverse,
    one_side,
    signs,
    slips,
    unknowns,
)
from dialogue.algebra.moves import Line

FILE = Path(__file__).parent / "data" / "wrong_lines.toml"
DATA: dict[str, dict[str, dict[str, str]]] = tomllib.loads(FILE.read_text("utf-8"))
MODULES = (brackets, documented, inverse, one_side, signs, slips, collecting, unknowns)
NAMES = {rule: name for module in MODULES for name, rule in vars(module).items() if callable(rule)}


def is_well_made(piece: Piece) -> bool:
    """Whether it is some number of ones, of the unknown, or of such pieces."""
    return piece.body in {"number", "unknown"} or (piece.is_bracket and all(map(is_well_made, piece.body)))


def shown(boards: Iterable[Board], start: Board, letter: str) -> str:
    """The lines; none forgets which numbers were typed with a point, and each is well made."""
    found = list(boards)
    assert all(board.decimals == start.decimals for board in found)
    assert all(map(is_well_made, (piece for board in found for side in board[:2] for piece in side)))
    return "; ".join(equation_from(board, letter).text() for board in found)


def wrong(text: str) -> dict[str, str]:
    """What each rule that finds something to spoil makes of a line."""
    equation = read_equation(text)
    start = board_of(equation)
    found = {NAMES[rule]: shown(rule(start), start, equation.letter) for _, rule in LINE_RULES}
    found["zero_misread"] = shown(unknowns.zero_misread(start, equation.solution()), start, equation.letter)
    return {name: lines for name, lines in found.items() if lines}


def right(text: str) -> dict[str, str]:
    """The line tidied, one operation further, and the lines looked at, by how many are written."""
    equation = read_equation(text)
    start = board_of(equation)
    found = {
        "tidied": shown(tidied(start), start, equation.letter),
        "undone": shown(undone(start), start, equation.letter),
    }
    for reached in right_lines(start):
        line = shown([reached.board], start, equation.letter)
        key = f"after-{reached.depth}"
        found[key] = f"{found[key]}; {line}" if key in found else line
    return found


def spoiled(text: str) -> dict[str, str]:
    """What each slip makes of a right step, written ``before -> after``."""
    equation, stated = (read_equation(part) for part in text.split(" -> "))
    before, after = board_of(equation), board_of(stated)._replace(decimals=board_of(equation).decimals)
    found = {NAMES[rule]: shown(rule(before, after), before, equation.letter) for _, rule in RESULT_RULES}
    return {name: lines for name, lines in found.items() if lines}


def ending(text: str) -> dict[str, str]:
    """The wrong values each error ends in."""
    return {error: " ".join(map(str, values)) for error, values in wrong_answers(read_equation(text)).items()}


def explained(text: str) -> dict[str, str]:
    """Each error behind a stated line, written ``before -> stated``: how likely, and the lines up to the wrong one."""
    before, stated = (read_equation(part) for part in text.split(" -> "))
    found = {}
    for one in explain(before, Line(stated)):
        lines = "; ".join(line.text() for line in one.how)
        found[one.error] = f"{one.weight:.5f} in {one.lines}: {lines}"
    return found


KINDS = {"wrong": wrong, "right": right, "spoiled": spoiled, "ending": ending, "explained": explained}


@pytest.mark.parametrize("kind", KINDS)
def test_to_the_letter(kind: str) -> None:
    assert DATA[kind]
    for text, expected in DATA[kind].items():
        found = KINDS[kind](text)
        assert found == expected, text
        assert list(found) == list(expected), text


if __name__ == "__main__":
    out = ["# Written by test_wrong_lines.py for the lines named here; read by us."]
    for kind, texts in DATA.items():
        for text in texts:
            out += ["", f"[{kind}.{json.dumps(text)}]"]
            out += [f"{name} = {json.dumps(value)}" for name, value in KINDS[kind](text).items()]
    FILE.write_text("\n".join(out) + "\n", "utf-8")
