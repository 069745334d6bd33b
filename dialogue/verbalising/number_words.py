"""Numbers to English words, as a mathematics teacher says them.

Whole numbers with the British "and" or without it (common practice, no source); decimals digit by digit after
"point", with "zero" and never "oh" (MathSpeak core specification, rule 1.1); fractions with a top below 20 and a
bottom of 2 to 20 as ordinals (ClearSpeak says 2 to 10: Brownstein, Soiffer and Frankel, ETS 2015; to twentieths is
our choice), else "a over b"; mixed numbers "two and one half" (ClearSpeak: "3 and 1 half").
"""

SMALL = [
    "zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve",
    "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen",
]  # fmt: skip
TENS = ["zero", "ten", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]
GROUPS = ((10**6, "million"), (1000, "thousand"))
PARTS = {
    2: "half", 3: "third", 4: "quarter", 5: "fifth", 6: "sixth", 7: "seventh", 8: "eighth", 9: "ninth",
    10: "tenth", 11: "eleventh", 12: "twelfth", 13: "thirteenth", 14: "fourteenth", 15: "fifteenth",
    16: "sixteenth", 17: "seventeenth", 18: "eighteenth", 19: "nineteenth", 20: "twentieth",
}  # fmt: skip
MOST_TOP = 19


def whole_words(number: int, joined: str = " and ") -> str:
    """``one hundred and twenty-five``; ``joined`` is " " where "and" is not said. ``number`` is at least zero."""
    if number < 20:
        return SMALL[number]
    if number < 100:
        tens, units = divmod(number, 10)
        return TENS[tens] + (f"-{SMALL[units]}" if units else "")
    if number < 1000:
        hundreds, rest = divmod(number, 100)
        return f"{SMALL[hundreds]} hundred" + (f"{joined}{whole_words(rest)}" if rest else "")
    size, name = next((size, name) for size, name in GROUPS if number >= size)
    groups, rest = divmod(number, size)
    words = f"{whole_words(groups, joined)} {name}"
    if not rest:
        return words
    return words + (joined if rest < 100 else " ") + whole_words(rest, joined)


def decimal_words(text: str, joined: str = " and ") -> str:
    """``2.05`` is "two point zero five"."""
    start, _, places = text.partition(".")
    digits = " ".join(SMALL[int(digit)] for digit in places)
    return f"{whole_words(int(start or 0), joined)} point {digits}"


def over_words(top: int, bottom: int, joined: str = " and ", fourths: bool = False) -> str:
    """A fraction as written, in its lowest terms or not; ``fourths`` where quarters are called so."""
    if is_ordinal(top, bottom):
        part = "fourth" if fourths and bottom == 4 else PARTS[bottom]
        plural = "halves" if part == "half" else f"{part}s"
        return f"{SMALL[top]} {part if top == 1 else plural}"
    return f"{whole_words(top, joined)} over {whole_words(bottom, joined)}"


def is_ordinal(top: int, bottom: int) -> bool:
    """Whether the fraction is said with an ordinal."""
    return 0 < top <= MOST_TOP and bottom in PARTS
