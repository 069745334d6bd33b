"""The working so far as rows of text: one line a step, equals signs in one column, the operation beside both sides."""

from collections.abc import Sequence
from dataclasses import dataclass

from dialogue.algebra.moves import Move, Rewrite
from dialogue.algebra.writing import BOARD, write
from dialogue.tutor.core.state import BoardLine

SIGNS = {"add": "+", "subtract": "−", "multiply": "×", "divide": "÷"}
REWRITES = {"expand": "multiply out", "collect": "collect", "swap": "swap sides", "simplify": "simplify"}
SHOWN = "shown"
NOW, BAR = "▸", "│"
INDENT = 2


@dataclass(frozen=True, slots=True)
class BoardRow:
    """One line of working: each side as text, what was done to each to get the next line, and how it came about."""

    left: str
    right: str
    left_note: str = ""
    right_note: str = ""
    mark: str = ""


def rows_of_board(board: Sequence[BoardLine], pending: Move | Rewrite | None = None) -> list[BoardRow]:
    """The board's lines with the operation noted beside the line it was done to, as teachers note it."""
    steps = [*(line.note for line in board[1:]), pending]
    return [
        BoardRow(
            write(line.equation.left, BOARD),
            write(line.equation.right, BOARD),
            *notes(done),
            SHOWN if line.level == "shown" else "",
        )
        for line, done in zip(board, steps, strict=True)
    ]


def notes(done: Move | Rewrite | None) -> tuple[str, str]:
    """What stands beside the left side and beside the right: ``− 2`` at each it was done to; a rewrite in words."""
    if done is None or (isinstance(done, Move) and done.operation == "transfer"):
        return "", ""
    if isinstance(done, Rewrite):
        return "", REWRITES[done.how]
    operand = write(done.operand, BOARD)
    if operand.startswith(BOARD.minus) or " " in operand:
        operand = f"({operand})"
    noted = f"{SIGNS[done.operation]} {operand}"
    return ("" if done.sides == "right" else noted), ("" if done.sides == "left" else noted)


def text_rows(lines: Sequence[BoardRow], width: int, spacing: int = 0) -> list[str]:
    """The rows as text, equals signs aligned, at most ``width`` columns; ``spacing`` empty lines between them.

    On a terminal too narrow for notes in the margins they stand below, each under its side.
    """
    left, right = max(len(row.left) for row in lines), max(len(row.right) for row in lines)
    margin = max(len(row.left_note) for row in lines)
    marked = max(len(row.mark) + 4 if row.mark else 0 for row in lines)
    widest = max(len(row.right_note) for row in lines)
    beside = INDENT + margin + 3 + left + 3 + right + marked + 3 + widest <= width
    if not beside:
        margin = 0
    out: list[str] = []
    for index, row in enumerate(lines):
        now = NOW if index == len(lines) - 1 else (BAR if beside and row.left_note else " ")
        before = f"{row.left_note:>{margin}}" if beside else ""
        text = f"{'':{INDENT}}{before} {now} {row.left:>{left}} = {row.right:<{right}}"
        if row.mark:
            text += f"  ({row.mark})"
        if beside and row.right_note:
            text += f" {BAR} {row.right_note}"
        out.append(text.rstrip())
        if not beside and (row.left_note or row.right_note):
            out.append(f"{'':{INDENT}}   {row.left_note:>{left}}   {row.right_note}".rstrip())
        if index < len(lines) - 1:
            out.extend([""] * spacing)
    return out
