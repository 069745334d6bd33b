"""Numbers as English speakers say them, as phrases for the languages of the tests.

Weights are plain choices: a short number is likelier than a long one, and nothing else is preferred.
"""

from speech.language.phrase import Part, Phrase, choice, optional, repeated, sequence, weighted

UNITS = ["one", "two", "three", "four", "five", "six", "seven", "eight", "nine"]
TEENS = ["ten", "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen"]
TENS = ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]
ORDINALS = ["third", "quarter", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth"]  # of fractions, below a half
ZERO = ("zero", "nought", "oh")


def units() -> Phrase:
    """1 to 9."""
    return choice(*UNITS)


def below_hundred() -> Phrase:
    """1 to 99."""
    return weighted((units(), 9), (choice(*TEENS), 8), (sequence(choice(*TENS), optional(units(), 0.75)), 12))


def cardinal() -> Phrase:
    """1 to 999, with or without "and" after the hundreds; "a hundred" is 100."""
    rest = sequence(optional("and", 0.5), below_hundred())
    hundreds = sequence(weighted((units(), 9), ("a", 1)), "hundred", optional(rest, 0.5))
    return weighted((below_hundred(), 20), (hundreds, 3))


def digit() -> Phrase:
    """One digit of a string of digits, 0 to 9."""
    return weighted((units(), 9), (choice(*ZERO), 1))


def decimal() -> Phrase:
    """A number to 99 or nothing, "point", then one to three digits: "two point five", "point seven five"."""
    whole = weighted((below_hundred(), 9), (weighted(("zero", 3), ("nought", 1)), 2), ("", 1))
    places = weighted((digit(), 6), (repeated(digit(), 2, 2), 3), (repeated(digit(), 3, 3), 1))
    return sequence(whole, "point", places)


def fraction() -> Phrase:
    """Halves to tenths, mixed numbers and "over": "three quarters", "two and a half", "five over six"."""
    plural = [f"{one}s" for one in ORDINALS]
    single = sequence(choice("a", "one"), weighted(("half", 4), (choice(*ORDINALS), 4)))
    several = sequence(units(), weighted(("halves", 1), (choice(*plural), 6)))
    proper = weighted((single, 1), (several, 1))
    mixed = sequence(below_hundred(), "and", proper)
    over = sequence(below_hundred(), "over", below_hundred())
    return weighted((proper, 4), (mixed, 1), (over, 1))


def number() -> Phrase:
    """Zero, a cardinal to 999, a decimal or a fraction, with or without a sign."""
    unsigned = weighted((weighted(("zero", 3), ("nought", 1)), 1), (cardinal(), 24), (decimal(), 4), (fraction(), 4))
    return sequence(optional(sign(), 0.2), unsigned)


def sign() -> Phrase:
    """The word before a number below zero."""
    return choice("minus", "negative")


def digit_by_digit(most: int = 4) -> Phrase:
    """A number as single digits: "minus one four", "two point five", "one six over three"."""
    digits = repeated(digit(), 1, most)
    tail: Part = weighted(("", 6), (sequence("point", repeated(digit(), 1, 3)), 2), (sequence("over", digits), 1))
    return sequence(optional(sign(), 0.2), digits, tail)
