"""How the letter of the unknown is heard and typed: its name, its homophones, its plurals."""

import re
from functools import lru_cache

from dialogue.understanding.numbers import NUMBER_WORDS

SOUNDS: dict[str, tuple[str, ...]] = {
    "a": ("eh", "ay"), "b": ("be", "bee"), "c": ("see", "sea", "cee"), "d": ("dee",), "e": ("ee",), "f": ("eff", "ef"),
    "g": ("gee", "jee"), "h": ("aitch", "haitch"), "i": ("eye", "aye"), "j": ("jay",), "k": ("kay", "cay", "okay"),
    "l": ("el", "ell"), "m": ("em", "am"), "n": ("en", "an", "end"), "o": ("oh", "owe"), "p": ("pea", "pee"),
    "q": ("queue", "cue"), "r": ("are", "our"), "s": ("ess", "es"), "t": ("tea", "tee"), "u": ("you", "ewe", "yew"),
    "v": ("vee",), "w": ("double-u", "dub"), "x": ("ex", "eggs", "axe"), "y": ("why", "wye"), "z": ("zed", "zee"),
}  # fmt: skip

CERTAIN = frozenset({"ex", "zed", "zee", "double-u", "dee", "vee", "jay", "kay", "em", "en", "ess"})
"""Spellings that are nothing but the letter's name; the other homophones are words of their own."""


@lru_cache(maxsize=64)
def forms(letter: str) -> dict[str, int]:
    """The tokens that can stand for the letter, each with how doubtful it is (0 or 1)."""
    name = letter.lower()
    found = {name: 0, f"{name}'s": 0, f"{name}s": 0, f"{name}es": 0}
    for sound in SOUNDS.get(name, ()):
        cost = 0 if sound in CERTAIN else 1
        plurals = (f"{sound}s", f"{sound}es", f"{sound}'s") if sound not in {"eggs", "are", "am", "an", "our"} else ()
        for form in (sound, *plurals):
            found.setdefault(form, cost)
    for word in ("as", "is", "us", "ms", "ones", "his", "bes", "ans"):  # plurals that are words of their own
        found.pop(word, None)
    return found


TALK = frozenset(
    {"you", "he", "why", "see", "are", "our", "be", "am", "an", "aye", "eye", "okay", "oh", "owe", "es", "as"}
)
"""Homophones that follow a number in ordinary talk too: "it's five, see", "if it's plus four you minus four"."""

PERSONS = frozenset({"you", "he"})
BESIDE_A_NUMBER = {"e": ("he",)}  # written for the letter by recognisers, and so far from it that only a number tells
WORD = re.compile(r"\w+(?:['’-]\w+)*|\S")
OPERATIONS = frozenset({"plus", "minus", "times", "over", "divided", "multiplied", "+", "-", "*", "/", "×", "÷"})
DONE = OPERATIONS | {"add", "subtract", "take", "away"}
EQUAL = frozenset({"equals", "equal", "="})
FROM, SIDES = frozenset({"from", "off"}), frozenset({"both", "each", "either"})


def with_letter(text: str, letter: str) -> str:
    """The text with the letter's name written as the letter where it stands beside a number as only a letter does."""
    names = {*SOUNDS.get(letter, ()), *BESIDE_A_NUMBER.get(letter, ())}
    lowered = text.lower()
    if not any(name in lowered for name in names):
        return text
    found = list(WORD.finditer(text))
    words = [one.group().lower() for one in found]
    for at in range(len(words) - 1, 0, -1):
        if words[at] in names and _is_a_letter(words, at):
            text = text[: found[at].start()] + letter + text[found[at].end() :]
    return text


def _is_a_letter(words: list[str], at: int) -> bool:
    """Whether the name at this place is of a letter: "three yew minus three", never "four he shouted"."""
    if not (words[at - 1].isdecimal() or words[at - 1] in NUMBER_WORDS):
        return False
    after, next_but_one = [*words[at + 1 :], "", ""][:2]
    if after in EQUAL or (after in FROM and next_but_one in SIDES):
        return True
    ends = after in {"", "so"}
    if words[at] in PERSONS:
        return ends and at > 1 and words[at - 2] in DONE
    return after in OPERATIONS or (ends and words[at] not in TALK)
