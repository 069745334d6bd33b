"""How much of each section the printed sheet of a class has room for, estimated in lines of print."""

from dataclasses import dataclass
from typing import Any

LINES = 79.0  # of 8 point on A4 between margins of 12 mm, less the error of the estimate
ACROSS = 104  # letters across the sheet
HEAD = 1.9  # lines a heading takes, with the space above it
SUBHEAD = 1.4
ROW, TIGHT_ROW = 1.08, 0.9  # lines a row of the grid takes, and of one that is printed smaller
FIXED = 3.0 + 5 * HEAD + 4.5  # title; five headings, two of them side by side; what explains the grid
NOTE = 1.6  # lines that say what is left out
FRACTION = 0.4  # lines that one takes more
BACK = 78.0  # and of the back of the sheet, less what is lost where something is kept together
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
        parts = self.words[place].split("\n")
        return float(sum(max(1, -(-len(part) // across)) + FRACTION * ("/" in part) for part in parts))


def fill(shelves: list[Shelf], grid_rows: int, others: int, tight: bool = False) -> None:
    """Give every section its first row, then each in turn as many more as the sheet has room for; where a section
    stays short, a line says what is left out. What has no room on the front goes on to the back."""
    left = LINES - FIXED - (TIGHT_ROW if tight else ROW) * (grid_rows + 1) - others / 12
    left -= sum(NOTE + (SUBHEAD if each.heading else 0) for each in shelves if each.rows)
    if grid_rows > CLASS:
        left = float("inf")
    notes = sum(NOTE for each in shelves if each.rows)  # none is needed where everything fits
    if sum(each.lines(place) for each in shelves for place in range(len(each.rows))) > left + notes:
        left += BACK
    for most in (1, None):
        for shelf in shelves:
            while shelf.room < (len(shelf.rows) if most is None else min(most, len(shelf.rows))):
                last = shelf.room + 1 == len(shelf.rows)
                needed = shelf.lines(shelf.room) - (NOTE if last else 0)
                if needed > left:
                    break
                left -= needed
                shelf.room += 1
