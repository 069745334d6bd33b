"""How the letter of the unknown is heard and typed: its name, its homophones, its plurals."""

from functools import lru_cache

SOUNDS: dict[str, tuple[str, ...]] = {
    "a": ("eh", "ay"), "b": ("be", "bee"), "c": ("see", "sea", "cee"), "d": ("dee",), "e": ("ee",), "f": ("eff", "ef"),
    "g": ("gee", "jee"), "h": ("aitch", "haitch"), "i": ("eye", "aye"), "j": ("jay",), "k": ("kay", "cay", "okay"),
    "l": ("el", "ell"), "m": ("em", "am"), "n": ("en", "an", "end"), "o": ("oh", "owe"), "p": ("pea", "pee"),
    "q": ("queue", "cue"), "r": ("are", "our"), "s": ("ess", "es"), "t": ("tea", "tee"), "u": ("you", "ewe"),
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
