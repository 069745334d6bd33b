"""A balance as SVG: bags hold the unknown, marbles or weights the numbers; it tips towards the heavier side.

Every measure is in units of the drawing, 640 wide and 210 high. The tilt is put on by the style sheet, which moves it
only where movement is welcome.
"""

from dataclasses import dataclass
from fractions import Fraction
from html import escape

from chattutor.lesson.weighing import Lower, Weighed
from dialogue.algebra.tree import Expression, Number, Product, Sum, Unknown
from dialogue.algebra.writing import BOARD, write

WIDTH, HEIGHT = 640, 210
PIVOT, BEAM = 320, 34  # x and y of where the beam rests
ARM = 180  # from the pivot to where a pan hangs
PLATE = 156  # y of a level plate
HALF = 120  # half a plate
MOST_BAGS, MOST_MARBLES = 5, 14  # more are drawn as one, with its number
BAG, WEIGHT, MARBLE = 40, 46, 15  # widths
GAP = 6
IN_WORDS = {
    "neither": "A balance, level.",
    "left": "A balance, tipped: the left side is lower.",
    "right": "A balance, tipped: the right side is lower.",
}


@dataclass(frozen=True, slots=True)
class Load:
    """What lies on a pan: bags with a letter, marbles, weights and parcels with their writing; and its words."""

    words: str
    bags: int = 0
    letter: str = ""
    marbles: int = 0
    written: tuple[str, ...] = ()


def balance(left: Load, right: Load, lower: Lower, beside: str = "") -> str:
    """The drawing as an ``<svg>`` element, with its words in it; ``beside`` is said under it."""
    words = f"{IN_WORDS[lower]} Left: {left.words}. Right: {right.words}."
    pans = "".join(_pan(load, side) for load, side in ((left, -1), (right, 1)))
    beam = f'<path class="beam" d="M{PIVOT - ARM} {BEAM}H{PIVOT + ARM}"/>'
    foot = f'<path class="post" d="M{PIVOT} {BEAM}V{HEIGHT - 8}M{PIVOT - 56} {HEIGHT - 8}H{PIVOT + 56}"/>'
    under = f"<p class=beside>{escape(beside)}</p>" if beside else ""
    return (
        f'<svg class="balance" data-lower="{lower}" viewBox="0 0 {WIDTH} {HEIGHT}" role="img" '
        f'aria-label="{escape(words)}">{foot}<g class="turning">{beam}</g>'
        f'<circle class="pivot" cx="{PIVOT}" cy="{BEAM}" r="7"/>{pans}</svg>{under}'
    )


def of_equation(found: Weighed, letter: str) -> str:
    """The balance that holds an equation; words alone where it cannot be drawn, nothing where there is none."""
    if not found.drawable:
        return f"<p class=beside>{escape(found.words)}</p>" if found.words else ""
    countable = all(number <= MOST_MARBLES for side in (found.left, found.right) for number in _numbers(side))
    left, right = (_load(side, letter, countable) for side in (found.left, found.right))
    return balance(left, right, found.lower, found.words)


def of_scene(loose: int, right: int, lower: Lower) -> str:
    """The opening scene: a bag and some marbles against marbles."""
    words = "a bag" + (f" and {loose} marbles" if loose else "")
    return balance(Load(words, 1, "", loose), Load(f"{right} marbles", marbles=right), lower)


def _terms(side: Expression) -> list[Expression]:
    return [term.body for term in side.terms] if isinstance(side, Sum) else [side]


def _numbers(side: Expression) -> list[Fraction]:
    return [term.value for term in _terms(side) if isinstance(term, Number)]


def _load(side: Expression, letter: str, countable: bool) -> Load:
    """What a side is drawn as: numbers as marbles where all of the equation's are ``countable``, else as weights."""
    words = write(side, BOARD)
    terms = _terms(side)
    bags, marbles, written = 0, 0, []
    for term in terms:
        many = _multiple(term)
        if many is not None and bags + many <= MOST_BAGS:
            bags += many
        elif (
            countable
            and isinstance(term, Number)
            and term.value.denominator == 1
            and marbles + term.value <= MOST_MARBLES
        ):
            marbles += int(term.value)
        else:
            written.append(write(term, BOARD))
    return Load(words, bags, letter, marbles, tuple(written))


def _multiple(term: Expression) -> int | None:
    """How many of the unknown it is, where that is a whole number of them."""
    match term:
        case Unknown():
            return 1
        case Product((Number(value), Unknown())) if value.denominator == 1 and value > Fraction(0):
            return int(value)
    return None


def _pan(load: Load, side: int) -> str:
    centre = PIVOT + side * ARM
    name = "left" if side < 0 else "right"
    cords = "".join(f"M{centre} {BEAM}L{centre + way * (HALF - 8)} {PLATE}" for way in (-1, 1))
    hung = f'<path class="cord" d="{cords}"/>'
    plate = f'<path class="plate" d="M{centre - HALF} {PLATE}H{centre + HALF}"/>'
    return f'<g class="pan {name}">{hung}{plate}{_things(load, centre)}</g>'


def _things(load: Load, centre: int) -> str:
    """Bags and weights in a row, marbles in two rows beside them, all standing on the plate."""
    columns = (load.marbles + 1) // 2 if load.marbles > 3 else load.marbles
    widths = [BAG] * load.bags + [max(WEIGHT, 11 * len(text) + 16) for text in load.written]
    total = sum(widths) + columns * MARBLE + GAP * max(0, len(widths) + (1 if columns else 0) - 1)
    squeeze = min(1.0, (2 * HALF - 20) / total) if total else 1.0
    x, out = -total / 2, ""
    for place, width in enumerate(widths):
        text = load.letter if place < load.bags else load.written[place - load.bags]
        out += _bag(x, text) if place < load.bags else _weight(x, width, text)
        x += width + GAP
    for place in range(load.marbles):
        column, row = (place // 2, place % 2) if load.marbles > 3 else (place, 0)
        out += f'<circle class="marble" cx="{x + MARBLE * (column + 0.5):g}" cy="{-MARBLE * (row + 0.5):g}" r="6.5"/>'
    return f'<g transform="translate({centre} {PLATE - 2}) scale({squeeze:.3g})">{out}</g>'


def _bag(x: float, letter: str) -> str:
    body = f"M{x + 14:g} -44C{x + 4:g} -36 {x:g} -24 {x + 1:g} -12Q{x + 2:g} 0 {x + 10:g} 0H{x + BAG - 10:g}"
    body += f"Q{x + BAG - 2:g} 0 {x + BAG - 1:g} -12C{x + BAG:g} -24 {x + BAG - 4:g} -36 {x + BAG - 14:g} -44"
    body += f"L{x + BAG - 10:g} -52H{x + 10:g}Z"
    return (
        f'<path class="bag" d="{body}"/><path class="tie" d="M{x + 12:g} -44H{x + BAG - 12:g}"/>'
        f'<text class="unknown" x="{x + BAG / 2:g}" y="-13">{escape(letter)}</text>'
    )


def _weight(x: float, width: float, text: str) -> str:
    return (
        f'<rect class="weight" x="{x:g}" y="-38" width="{width:g}" height="38" rx="4"/>'
        f'<text x="{x + width / 2:g}" y="-13">{escape(text)}</text>'
    )
