"""A balance drawn in text: level, or with one pan lower; words alone where it cannot be drawn."""

from chattutor.lesson.weighing import Lower, Weighed, weighed
from dialogue.algebra.equation import Equation
from dialogue.algebra.moves import Move
from dialogue.algebra.writing import BOARD, write

NARROWEST = 44  # columns below which the drawing is left out


def drawn(equation: Equation, width: int, one_sided: Move | None = None) -> list[str]:
    """The balance holding the equation, tilted by a one-sided move; words alone where it cannot be drawn."""
    found = weighed(equation, one_sided)
    words = [] if not found.words else [f"({found.words})" if found.lower == "neither" else f"    {found.words}"]
    picture = _fitted(found, width) if found.drawable else []
    return [*picture, *([""] if picture and words else []), *words]


def _fitted(found: Weighed, width: int) -> list[str]:
    """The picture, or nothing where it does not fit."""
    one, other = write(found.left, BOARD), write(found.right, BOARD)
    pan = max(len(one), len(other), 7) + 4
    return [] if width < max(NARROWEST, 2 * pan + 12) else _picture(one, other, pan, found.lower)


def _picture(one: str, other: str, pan: int, lower: Lower) -> list[str]:
    """Two pans on a beam; the lower pan hangs two lines further down."""
    plate, gap = "═" * pan, 8
    first, second = f"{one:^{pan}}", f"{other:^{pan}}"
    middle, centre = pan + gap // 2, pan // 2
    arm = middle - centre - 1
    if lower == "neither":
        beam = f"{'':{centre}}└{'─' * arm}┬{'─' * arm}┘"
        lines = [f"{first}{'':{gap}}{second}", f"{plate}{'':{gap}}{plate}", beam, f"{'':{middle}}▲"]
    else:
        high_first = lower == "right"
        high = f"{first}" if high_first else f"{'':{pan + gap}}{second}"
        low = f"{'':{pan + gap}}{second}" if high_first else f"{first}"
        high_plate = plate if high_first else f"{'':{pan + gap}}{plate}"
        low_plate = f"{'':{pan + gap}}{plate}" if high_first else plate
        if high_first:
            join = f"{'':{centre}}└{'─' * arm}┐"
            low = f"{'':{middle}}│{low[middle + 1 :]}"
            low_plate = f"{'':{middle}}│{low_plate[middle + 1 :]}"
            foot = f"{'':{middle}}├{'─' * arm}┘"
        else:
            join = f"{'':{middle}}┌{'─' * arm}┘"
            low = f"{low:<{middle}}│"
            low_plate = f"{low_plate:<{middle}}│"
            foot = f"{'':{centre}}└{'─' * arm}┤"
        lines = [high, high_plate, join, low, low_plate, foot, f"{'':{middle}}▲"]
    return [f"    {line}".rstrip() for line in lines]
