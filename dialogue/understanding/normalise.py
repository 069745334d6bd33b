"""An utterance to plain tokens: unicode, case, contractions, slips of the keyboard, text-speak, hesitations.

What is changed into what is data (``en/spelling.toml``); here is only how.
"""

import re
import unicodedata
from functools import lru_cache

from dialogue.algebra.reading import in_plain_characters
from dialogue.understanding.grammar import load, read_data
from dialogue.understanding.numbers import NUMBER_WORDS, TEENS, TENS, UNITS, is_number
from dialogue.understanding.spelling import Speller

PICTURES = {"So", "Sk", "Cs", "Co", "Mn", "Cf", "Cc"}  # emoji and their joiners, control characters
ARROW = re.compile(r"[=-]>")
ARROW_ACROSS = re.compile(
    r"(?:[=-]>|→|⇒)\s*(?=(?:the )?(?:other|left|right|lhs|rhs|over)\b)", re.IGNORECASE
)  # "7 -> other side"
APPROXIMATE = re.compile(r"[~≈]\s*(?=[\d.])")
LEFT_AND_RIGHT = re.compile(r"\bl(hs)?\s?[+&/,]\s?r(?(1)hs)\b(?!\s*=)", re.IGNORECASE)  # "-7 l+r"
EMOTICON = re.compile(r"(?<!\w)(?:[:;=]-?[)(dp/|o3]|<3|\^_?\^|xd(?!\w))", re.IGNORECASE)
SIGNS_AS_WORDS = str.maketrans(
    {"‘": "'", "ʼ": "'", "&": " and ", "∴": " so ", "→": " so ", "⇒": " so ", "|": " ", "＆": " and "}
)
ASIDE = re.compile(r"\((?!\s*[a-z]\s*\))([a-z][a-z' ?!]*)\)")  # "(both)", but not "(x)"
TWICE = re.compile(r"\b([a-z]+|\d+)\s*\(\s*(\d+|[a-z]+)\s*\)")  # "seven (7)"
WRAPPED = re.compile(r"^\s*\(\s*([-+*/]\s*[\d.]+[a-z]?)\s*\)(?=\s+[a-z])")  # "(-12) both sides"
HYPHEN = re.compile(r"(?<=[a-z][a-z])-(?=[a-z][a-z])")
FOR_EVER = re.compile(r"\.\d+ *(\.\.+|…|recurring\b|repeating\b)", re.IGNORECASE)
MIXED = re.compile(r"(?<![\w./])(\d+)\s+(?:and|&)\s+(\d+/\d+)(?![\d/])")
LEADING_NOUGHT = re.compile(r"(?<![\d.,])0,(?=\d)")
DECIMAL_COMMA = re.compile(r"(?<![\d.,])(\d+),(\d{1,2})(?![.,]?\d)")  # "1,000" may be a thousand, "1,2,3" is a list
LISTED = re.compile(r"\(\s*-?\d+,\d+\s*\)|=\s*-?\d+,[^\s,=]+\s*=|\b(\d\d+),\1\b")  # "(3,5)", "2n=8,4n=16", "41,41"
TOKEN = re.compile(
    r"\d+(?:st|nd|rd|th|rm)\b|\b[wblm]8r?\b|\b2day\b|\d+\.\d+|\.\d+|\d+|[a-z]+(?:'[a-z]+)*|[-+*/=()]|[^\s.,;:!?\"'`_~]"
)
NOT_BEFORE_A_WORD = frozenset("+-*/=(")
LED_TO_SIDES = {("both",), ("each",), ("the",)}
BOTH_SIDES = re.compile(r"\bb/s\b")
STUTTER = re.compile(r"\b([a-z]{3,}) (?:(?:um+|uh+|er+m*|hm+)[, ]+)+(?=\1\b)")  # "minus um minus seven"
PLAIN = re.compile(r"[a-z' ]*")  # nothing to clean; most of what is said
REPEATED = re.compile(r"([a-z])\1{2,}")


@lru_cache(maxsize=1)
def _spelling() -> tuple[dict[str, tuple[str, ...]], dict[str, list[tuple[tuple[str, ...], tuple[str, ...]]]]]:
    """Single words replaced, and phrases replaced (by their first word, longest first)."""
    data = read_data("spelling") | read_data("slips")
    words: dict[str, tuple[str, ...]] = {}
    for table in ("slips", "textspeak", "contractions"):
        words.update({wrong: tuple(right.split()) for wrong, right in data[table].items()})
    phrases: dict[str, list[tuple[tuple[str, ...], tuple[str, ...]]]] = {}
    for wrong, right in data["phrases"].items():
        parts = tuple(wrong.split())
        phrases.setdefault(parts[0], []).append((parts, tuple(right.split())))
    for options in phrases.values():
        options.sort(key=lambda option: -len(option[0]))
    return words, phrases


@lru_cache(maxsize=1)
def hesitations() -> tuple[frozenset[str], frozenset[str]]:
    """Sounds that are never words here, and words that may be left out where nothing else can be made of them."""
    data = read_data("spelling")
    return frozenset(data["hesitations"]), frozenset(data["asides"])


@lru_cache(maxsize=1)
def _sounds() -> dict[str, str]:
    """Sounds that do mean something, though each half of them is a hesitation ("uh huh")."""
    sounds: dict[str, str] = read_data("spelling")["sounds"]
    return sounds


@lru_cache(maxsize=1)
def _speller() -> Speller:
    data = read_data("spelling")
    known = load().vocabulary | NUMBER_WORDS | set(data["words"]) | hesitations()[0] | hesitations()[1]
    return Speller(frozenset(known), frozenset(data["targets"]))


def is_textspeak(text: str) -> bool:
    """Whether it is one word of text-speak that looks like mathematics ("w8")."""
    return text in _spelling()[0]


def with_points(text: str) -> str:
    """ "7,5" as "7.5", where the comma keeps no list apart; "4 and 1/2" as "4 1/2"."""
    text = LEADING_NOUGHT.sub("0.", text)
    if LISTED.search(text) is None:
        text = DECIMAL_COMMA.sub(r"\1.\2", text)
    return MIXED.sub(r"\1 \2", text)


def goes_on(text: str) -> bool:
    """Whether the digits of a number are said to go on for ever ("0.333...", "0.3 recurring")."""
    return FOR_EVER.search(text) is not None


def in_lower_case(text: str) -> str:
    """Lower case with plain apostrophes, and nothing else changed."""
    return text.lower().replace("\N{RIGHT SINGLE QUOTATION MARK}", "'")


def cleaned(text: str) -> str:
    """Lower case, plain signs, no emoticons or emoji."""
    if PLAIN.fullmatch(text) and not any(sound in text for sound in ("uh", "mm", "xd")):
        return STUTTER.sub("", text.strip())
    if text.count("|") and text.count("=") > text.count("|"):  # "2x = 8 | x = 4"
        text = text.replace("|", " so ")
    text = APPROXIMATE.sub(" about ", text)
    across = LEFT_AND_RIGHT.sub(" left and right ", ARROW_ACROSS.sub(" to ", text))
    lowered = in_plain_characters(across.translate(SIGNS_AS_WORDS)).lower()
    lowered = EMOTICON.sub(" ", ARROW.sub(" so ", f" {lowered} ")).strip()
    if "uh" in lowered or "mm" in lowered:
        for sound, word in _sounds().items():
            lowered = re.sub(rf"\b{sound}\b", word, lowered)
    kept = lowered
    if not kept.isascii():
        kept = "".join(" " if unicodedata.category(one) in PICTURES else one for one in kept)
    kept = TWICE.sub(_said_once, kept)
    kept = ASIDE.sub(r" \1 ", kept)
    kept = WRAPPED.sub(r"\1", kept)
    kept = BOTH_SIDES.sub("both sides", STUTTER.sub("", kept))
    return HYPHEN.sub(" ", kept.replace("==", "="))


def _said_once(match: re.Match[str]) -> str:
    """ "seven (7)" is seven, "twenty seven (27)" ends in it; anything else stays."""
    first, second = match.groups()
    word, digits = (first, second) if second.isdecimal() else (second, first)
    value = UNITS.get(word) or TEENS.get(word) or TENS.get(word)
    same = digits.isdecimal() and value is not None and int(digits) % (10 if word in UNITS else 100) == value
    return first if same else match.group()


def tokens(text: str, letter: str) -> tuple[str, ...]:
    """The tokens of a cleaned text, with slips mended and hesitations left out."""
    words, phrases = _spelling()
    sounds, _ = hesitations()
    keep = {letter.lower(), f"{letter.lower()}s"}
    found: list[str] = []
    for token in TOKEN.findall(text):
        if token in keep:
            found.append(token)
            continue
        for word in words.get(token) or _mended(token):
            if word in sounds:
                continue
            stem = word[:-2]
            if word.endswith("'s") and (stem in NUMBER_WORDS or len(stem) == 1):
                found += [stem, "'s"]  # "five's" is "five is"; "x's" is "x is" or the plural
            else:
                found.append(word)
    return tuple(_rephrased(found, phrases))


def _mended(token: str) -> tuple[str, ...]:
    if not token[0].isalpha():
        return (token,)
    return (_speller().mended(REPEATED.sub(r"\1", token) if REPEATED.search(token) else token),)


def _is_the_number(out: list[str], first: str, wrong: tuple[str, ...], after: list[str]) -> bool:
    """Whether a digit in such a phrase is a number after all, and not "to" or "for"."""
    digit = first.isdecimal() or first == "two"
    if digit and out and (out[-1] in NOT_BEFORE_A_WORD or out[-1] == "the" or out == ["x"]):
        return True  # "1/2 both" is a half, and not "to both"; so is "x2 both"
    if first.isdecimal() and wrong[1:] in LED_TO_SIDES and not (out and _a_number(out[-1])):
        return True  # "take 2 both sides", but "take 4 2 both sides"
    return wrong[-1].isdecimal() and bool(after) and len(after[0]) == 1 and after[0] not in {"a", "i"}  # "i have 2x"


def _a_number(token: str) -> bool:
    return is_number(token) or (len(token) == 1 and token.isalpha())


def _rephrased(found: list[str], phrases: dict[str, list[tuple[tuple[str, ...], tuple[str, ...]]]]) -> list[str]:
    out: list[str] = []
    at = 0
    while at < len(found):
        for wrong, right in phrases.get(found[at], ()):
            end = at + len(wrong)
            if tuple(found[at:end]) == wrong and not _is_the_number(out, found[at], wrong, found[end : end + 1]):
                out += right
                at = end
                break
        else:
            out.append(found[at])
            at += 1
    return out
