"""How much of each section the printed sheet of a class has room for, estimated in lines of print."""

from dataclasses import dataclass
from typing import Any

LINES = 79.0  # of 8 point on A4 between margins of 12 mm, less the error of the estimate
ACROSS = 104  # letters across the sheet
HEAD = 1.9  # lines a heading takes, with the space above it
SUBHEAD = 1.4
ROW = 1.08  # lines a row of the grid takes
FIXED = 3.0 + 5 * HEAD + 4.5  # title; five headings, two of them side by side; what explains the grid
NOTE = 1.6  # lines that say what is left out
CLASS = 45  # learners: more are no class, and their page may take as many sheets as it needs


@dataclass(slots=True)
class Shelf:
    """A section: its rows, each with words as long as it will be and with whose it is; ``room``: how many fit."""

    heading: str
    rows: list[Any]
    words: list[str]
    whose: list[str]
    half: bool = False
    room: int = 0

    @property
    def left(self) -> list[str]:
        """Whose the rows are that do not fit."""
        return self.whose[self.room :]

    def lines(self, place: int) -> float:
        """Lines of print that a row takes of the whole sheet."""
        across = ACROSS // 2 if self.half else ACROSS
        return float(sum(max(1, -(-len(part) // across)) for part in self.words[place].split("\n")))


def fill(shelves: list[Shelf], grid_rows: int, others: int) -> None:
    """Give every section its first row, then each in turn as many more as the sheet has room for; where a section
    stays short, a line says what is left out."""
    left = LINES - FIXED - ROW * (grid_rows + 1) - others / 12
    left -= sum(NOTE + (SUBHEAD if each.heading else 0) for each in shelves if each.rows)
    if grid_rows > CLASS:
        left = float("inf")
    for most in (1, None):
        for shelf in shelves:
            while shelf.room < (len(shelf.rows) if most is None else min(most, len(shelf.rows))):
                last = shelf.room + 1 == len(shelf.rows)
                needed = shelf.lines(shelf.room) - (NOTE if last else 0)
                if needed > left:
                    break
                left -= needed
                shelf.room += 1
