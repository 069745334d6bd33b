"""Numbers in words and digits: where one can end, and its exact value.

Cardinals 0 to 9999 with or without "and" (standard forms: Wikipedia, *English numerals*), "a hundred", "twelve
hundred", digit by digit ("one oh five"), decimals digit by digit after "point", halves to twentieths, mixed numbers.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import TypeAlias

from dialogue.algebra.tree import Expression, Number, Quotient

UNITS = {
    word: value
    for value, word in enumerate(["one", "two", "three", "four", "five", "six", "seven", "eight", "nine"], start=1)
}
TEENS = {
    word: value
    for value, word in enumerate(
        ["ten", "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen"],
        start=10,
    )
}
TENS = {word: 10 * value for value, word in enumerate(
    ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"], start=2)}  # fmt: skip
ZERO = ("zero", "nought", "naught", "oh", "nil")
HOMOPHONES = {
    "won": 1,
    "to": 2,
    "too": 2,
    "tree": 3,
    "free": 3,
    "for": 4,
    "fore": 4,
    "ate": 8,
    "nein": 9,
    "sicks": 6,
    "sics": 6,
    "niner": 9,
}
ORDINALS = {
    "half": 2, "halve": 2, "third": 3, "quarter": 4, "fourth": 4, "fifth": 5, "sixth": 6, "seventh": 7, "eighth": 8,
    "ninth": 9, "tenth": 10, "eleventh": 11, "twelfth": 12, "thirteenth": 13, "fourteenth": 14, "fifteenth": 15,
    "sixteenth": 16, "seventeenth": 17, "eighteenth": 18, "nineteenth": 19, "twentieth": 20,
}  # fmt: skip
PLURALS = {("halves" if word.startswith("hal") else word + "s"): value for word, value in ORDINALS.items()}
PARTS = ORDINALS | PLURALS
NUMBER_WORDS = frozenset({*UNITS, *TEENS, *TENS, *ZERO, *PARTS, "hundred", "thousand", "point"})

DECIMAL_PLACES = frozenset({*UNITS, *ZERO})  # what is said after "point", a digit a word
TEEN_ENDINGS = frozenset({"teen", "ty"})  # what a recogniser may cut off a number

DIGITS = frozenset("0123456789")
HOMOPHONE_COST = 1
LED_TO = frozenset(
    [
        "both",
        "each",
        "either",
        "every",
        "everything",
        "the",
        "left",
        "right",
        "it",
        "all",
        "that",
        "this",
        "them",
        "me",
        "do",
        "get",
        "be",
        "see",
    ]
)

NumberFound: TypeAlias = tuple[int, Expression, int]  # where it ends, what it is, how doubtful (homophones)


@dataclass(frozen=True, slots=True)
class WholeNumber:
    """A whole number found: where it ends, its value, how many tokens were homophones, and its digits if spelt out."""

    end: int
    value: int
    cost: int = 0


def _is_digits(word: str) -> bool:
    return word.isascii() and word.isdecimal()


def is_number(word: str) -> bool:
    """Whether the word is a number or the end of one, in words or digits."""
    return word in NUMBER_WORDS or word[-1].isdecimal()


def number_at(tokens: Sequence[str], at: int) -> list[NumberFound]:
    """The numbers (of at least zero) that begin at this word, the longest of each kind."""
    if at >= len(tokens):
        return []
    word = tokens[at]
    if word[-1] in DIGITS and not word[0].isalpha():
        return _in_digits(tokens, at)
    found = _in_words(tokens, at)
    if word in HOMOPHONES and not _is_preposition(tokens, at):
        found.append((at + 1, Number(Fraction(HOMOPHONES[word])), HOMOPHONE_COST))
        found += [(end, value, HOMOPHONE_COST) for end, value, _ in _with_fraction(tokens, at + 1, HOMOPHONES[word])]
    return found


def mixed_at(tokens: Sequence[str], at: int) -> int:
    """Where a mixed number that begins at this word ends ("4 1/2", "four and a half"); 0 where none does."""
    ends = (end for end, number, _ in number_at(tokens, at) if isinstance(number, Number) and " " in number.written)
    return max(ends, default=0)


def _is_preposition(tokens: Sequence[str], at: int) -> bool:
    """Whether "to" or "for" leads on to something: "add … to both sides" with nothing said to add."""
    return tokens[at] in {"to", "for"} and at + 1 < len(tokens) and tokens[at + 1] in LED_TO


def _in_digits(tokens: Sequence[str], at: int) -> list[NumberFound]:
    word = tokens[at]
    if not _is_digits(word):
        return [(at + 1, Number(Fraction(word), word), 0)]
    value = int(word)
    found: list[NumberFound] = [(at + 1, Number(Fraction(value)), 0)]
    rest = tokens[at + 1 : at + 4]
    if len(rest) == 3 and rest[1] == "/" and _is_digits(rest[0]) and _is_digits(rest[2]) and int(rest[2]):
        mixed = value + Fraction(int(rest[0]), int(rest[2]))
        return [(at + 4, Number(mixed, f"{word} {rest[0]}/{rest[2]}"), 0)]
    if at + 1 < len(tokens) and tokens[at + 1] == "point":
        return _decimal(tokens, at + 1, str(value)) or found
    return _with_fraction(tokens, at + 1, value) or found


def _in_words(tokens: Sequence[str], at: int) -> list[NumberFound]:
    word = tokens[at]
    if word == "point":
        return _decimal(tokens, at, "0")
    if word in ORDINALS and word != "halve":
        return [(at + 1, _fraction(1, ORDINALS[word]), 0)]
    if word in {"a", "an"} and at + 1 < len(tokens) and tokens[at + 1] in ORDINALS:
        return [(at + 2, _fraction(1, ORDINALS[tokens[at + 1]]), 0)]
    found: list[NumberFound] = []
    for whole in _wholes(tokens, at):
        if whole.end < len(tokens) and tokens[whole.end] == "point":
            decimal = _decimal(tokens, whole.end, str(whole.value))
            if decimal:
                return decimal
        mixed = [(end, value, whole.cost) for end, value, _ in _with_fraction(tokens, whole.end, whole.value)]
        found += mixed or [(whole.end, Number(Fraction(whole.value)), whole.cost)]
    return found


def _wholes(tokens: Sequence[str], at: int) -> list[WholeNumber]:
    spelt = _spelt(tokens, at)
    if spelt is not None:
        return [spelt]
    thousands = _below_hundred(tokens, at) if tokens[at] != "a" else WholeNumber(at + 1, 1)
    if thousands is None or thousands.end >= len(tokens):
        return [] if thousands is None or tokens[at] == "a" else [thousands]
    scale = tokens[thousands.end]
    if scale not in {"hundred", "thousand"}:
        if tokens[at] == "a":
            return []
        heard = _homophone_unit(tokens, thousands)
        return [thousands, heard] if heard else [thousands]
    if scale == "thousand" and thousands.value > 9:
        return []
    value, end = thousands.value * (100 if scale == "hundred" else 1000), thousands.end + 1
    if scale == "thousand":
        hundreds = _below_hundred(tokens, end)
        if hundreds and hundreds.value < 10 and hundreds.end < len(tokens) and tokens[hundreds.end] == "hundred":
            value, end = value + 100 * hundreds.value, hundreds.end + 1
    joined = end + 1 if end < len(tokens) and tokens[end] == "and" else end
    rest = _below_hundred(tokens, joined)
    if rest is None:
        return [WholeNumber(end, value)]
    part_follows = joined > end and rest.end < len(tokens) and tokens[rest.end] in PARTS
    if part_follows:  # "a hundred and three quarters" is a mixed number
        return [WholeNumber(end, value)]
    return [WholeNumber(rest.end, value + rest.value)]


def _below_hundred(tokens: Sequence[str], at: int) -> WholeNumber | None:
    if at >= len(tokens):
        return None
    word = tokens[at]
    if word in TENS:
        unit = UNITS.get(tokens[at + 1]) if at + 1 < len(tokens) else None
        # "twenty three quarters" is not a number people say; "twenty three" is
        return WholeNumber(at + 2, TENS[word] + unit) if unit else WholeNumber(at + 1, TENS[word])
    for table in (UNITS, TEENS):
        if word in table:
            return WholeNumber(at + 1, table[word])
    if word in ZERO:
        return WholeNumber(at + 1, 0)
    return None


def _homophone_unit(tokens: Sequence[str], tens: WholeNumber) -> WholeNumber | None:
    """ "twenty for" is twenty-four where nothing else can be made of it."""
    unit = HOMOPHONES.get(tokens[tens.end]) if tens.value in TENS.values() else None
    return WholeNumber(tens.end + 1, tens.value + unit, HOMOPHONE_COST) if unit else None


def _digit(word: str) -> int | None:
    if word in UNITS:
        return UNITS[word]
    if word in ZERO:
        return 0
    return int(word) if _is_digits(word) and len(word) == 1 else None


def _spelt(tokens: Sequence[str], at: int) -> WholeNumber | None:
    """Two to four single digits: "one oh five", "five zero"."""
    digits: list[int] = []
    end = at
    while end < len(tokens) and len(digits) < 5 and (digit := _digit(tokens[end])) is not None:
        digits.append(digit)
        end += 1
    if not 2 <= len(digits) <= 4 or tokens[at] in ZERO or (end < len(tokens) and tokens[end] in PARTS):
        return None
    if end < len(tokens) and tokens[end] in {"hundred", "thousand"}:
        return None
    return WholeNumber(end, int("".join(map(str, digits))))


def _decimal(tokens: Sequence[str], point: int, before: str) -> list[NumberFound]:
    """After "point": digit by digit, or one number below a hundred ("two point twenty five")."""
    end, places = point + 1, ""
    while end < len(tokens) and len(places) < 6 and (digit := _digit(tokens[end])) is not None:
        places += str(digit)
        end += 1
    if not places and end < len(tokens):
        if _is_digits(tokens[end]) and len(tokens[end]) <= 6:
            places, end = tokens[end], end + 1
        elif (pair := _below_hundred(tokens, end)) is not None:
            places, end = str(pair.value), pair.end
    if not places:
        return []
    text = f"{before}.{places}"
    return [(end, Number(Fraction(text), text), 0)]


def _fraction(top: int, bottom: int) -> Expression:
    return Quotient(Number(Fraction(top)), Number(Fraction(bottom)))


def _with_fraction(tokens: Sequence[str], at: int, whole: int) -> list[NumberFound]:
    """ "three | quarters" and "three | and a half", given the whole number already read."""
    if at >= len(tokens):
        return []
    word = tokens[at]
    if word in PLURALS and whole > 0:
        return [(at + 1, _fraction(whole, PLURALS[word]), 0)]
    if word in ORDINALS and whole == 1 and word != "halve":
        return [(at + 1, _fraction(1, ORDINALS[word]), 0)]
    start = at + 1 if word == "and" else at
    if start >= len(tokens):
        return []
    if word == "and" and tokens[start] == "half":
        return [(start + 1, Number(whole + Fraction(1, 2), f"{whole} 1/2"), 0)]
    below = _parts_at(tokens, start) or (_parts_in_words(tokens, start) if word == "and" else None)
    if below is None:
        return []
    end, top, bottom = below
    value = whole + Fraction(top, bottom)
    return [(end, Number(value, f"{whole} {top}/{bottom}"), 0)] if 0 < top < bottom else []


def _parts_at(tokens: Sequence[str], at: int) -> tuple[int, int, int] | None:
    """ "1 / 2", typed: where it ends, and its two numbers."""
    match tokens[at : at + 3]:
        case (top, "/", bottom) if _is_digits(top) and _is_digits(bottom) and int(bottom):
            return at + 3, int(top), int(bottom)
    return None


def _parts_in_words(tokens: Sequence[str], at: int) -> tuple[int, int, int] | None:
    """ "a half", "three quarters", "3 quarters": where it ends, and its two numbers."""
    above = WholeNumber(at + 1, 1) if tokens[at] in {"a", "an"} else _below_hundred(tokens, at)
    if above is None and _is_digits(tokens[at]):
        above = WholeNumber(at + 1, int(tokens[at]))
    if above and above.value and above.end < len(tokens) and tokens[above.end] in PARTS:
        return above.end + 1, above.value, PARTS[tokens[above.end]]
    return None
