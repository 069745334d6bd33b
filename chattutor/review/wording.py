"""Small words that every page shares."""

from typing import Any

from dialogue.algebra.equation import read_equation
from dialogue.algebra.refusals import Refusal
from dialogue.algebra.writing import BOARD

COLUMN = 12  # learners one below the other


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


def in_parts(learners: list[dict[str, Any]]) -> list[list[dict[str, Any]]]:
    """A long class in columns of equal length, so that it stays on one page."""
    height = -(-len(learners) // max(1, -(-len(learners) // COLUMN)))
    return [learners[start : start + height] for start in range(0, len(learners), max(height, 1))]


def left_over(not_attempted: list[dict[str, Any]]) -> list[tuple[str, list[str]]]:
    """Equations not attempted, with the codes of everyone who has just those left; the longest list first."""
    groups: dict[str, list[str]] = {}
    for row in not_attempted:
        groups.setdefault(", ".join(map(on_board, row["equations"])), []).append(row["code"])
    return sorted(groups.items(), key=lambda pair: (-len(pair[1]), pair[0]))
