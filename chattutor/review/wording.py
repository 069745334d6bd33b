"""Small words that every page shares."""

from typing import Any

from dialogue.algebra.equation import read_equation
from dialogue.algebra.refusals import Refusal
from dialogue.algebra.writing import BOARD


def counted(number: int, noun: str) -> str:
    """``1 learner``, ``2 learners``."""
    return f"{number:,} {noun}{'' if number == 1 else 's'}"


def totals(page: dict[str, Any]) -> str:
    """How much was read."""
    return ", ".join((
        counted(len(page["learners"]), "learner"), counted(page["sessions"], "session"), counted(page["turns"], "turn")
    ))  # fmt: skip


def on_board(text: str) -> str:
    """An equation of the logs as a teacher writes it; whatever is none stays as it is."""
    try:
        return read_equation(text).text(BOARD)
    except Refusal:
        return text
