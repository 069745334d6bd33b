"""The working so far as rows of text: one line a step, equals signs in one column, the operation beside its line."""

from collections.abc import Sequence
from dataclasses import dataclass

from dialogue.algebra.moves import Move, Rewrite
from dialogue.algebra.writing import BOARD, write
from dialogue.tutor.state import BoardLine

SIGNS = {"add": "+", "subtract": "−", "multiply": "×", "divide": "÷"}
REWRITES = {"expand": "multiply out", "collect": "collect", "swap": "swap sides", "simplify": "simplify"}
SHOWN = "shown"
NOW = "▸"


@dataclass(frozen=True, slots=True)
class Row:
    """One line of working: each side as text, what was done to it to get the next line, and how it came about."""

    left: str
    right: str
    note: str = ""
    mark: str = ""


def rows(board: Sequence[BoardLine], pending: Move | Rewrite | None = None) -> list[Row]:
    """The board's lines with the operation noted beside the line it was done to, as teachers note it."""
    notes = [*(line.note for line in board[1:]), pending]
    return [
        Row(
            write(line.equation.left, BOARD),
            write(line.equation.right, BOARD),
            note(done) if done else "",
            SHOWN if line.level == "shown" else "",
        )
        for line, done in zip(board, notes, strict=True)
    ]


def note(done: Move | Rewrite) -> str:
    """``− 2`` on both sides, or the one side it was said of."""
    if isinstance(done, Rewrite):
        return REWRITES[done.how]
    if done.operation == "transfer":
        return ""
    operand = write(done.operand, BOARD)
    if operand.startswith(BOARD.minus) or " " in operand:
        operand = f"({operand})"
    side = {"left": " left side only", "right": " right side only"}.get(done.sides, "")
    return f"{SIGNS[done.operation]} {operand}{side}"


def text_rows(lines: Sequence[Row], width: int, spacing: int = 0) -> list[str]:
    """The rows as text, equals signs aligned, at most ``width`` columns; ``spacing`` empty lines between them.

    A board too wide for the terminal drops its notes to a line of their own.
    """
    left = max(len(row.left) for row in lines)
    right = max(len(row.right) for row in lines)
    indent = 4
    beside = indent + left + 3 + right + 6 + max(len(row.note) for row in lines) <= width
    out: list[str] = []
    for index, row in enumerate(lines):
        now = f"  {NOW} " if index == len(lines) - 1 else " " * indent
        text = f"{now}{row.left:>{left}} = {row.right:<{right}}"
        if row.mark:
            text += f"  ({row.mark})"
        if row.note and beside:
            text = f"{text:<{indent + left + 3 + right}}   │ {row.note}"
        out.append(text.rstrip())
        if row.note and not beside:
            out.append(f"{'':>{indent + left}} │ {row.note}")
        if index < len(lines) - 1:
            out.extend([""] * spacing)
    return out
