"""What single phrases tell of a text, by the tables in ``en``: distress, which only a person can answer; a denial; what
stands before a correction; and what a question about a word, or a mood, is about.
"""

import re
from collections.abc import Iterator
from functools import cache, lru_cache
from typing import cast, get_args

from dialogue.acts import Act, Ask, Comment, Mood
from dialogue.understanding import normalise
from dialogue.understanding.certain import markers
from dialogue.understanding.grammar import read_data

NOT_WORDS = re.compile(r"[^\w']+")
POINT = "point"  # "what's the point?" is asked as a why
TERM = re.compile(r"\d[a-z]\b")  # "what does 7x mean?"
Table = tuple[tuple[str, re.Pattern[str]], ...]
NOT_A_LETTER = re.compile(r"[^a-z']+")


def tells_of_distress(text: str) -> bool:
    """Whether a phrase in it is taken for a disclosure."""
    return _phrases().search(NOT_A_LETTER.sub(" ", normalise.cleaned(text))) is not None


@lru_cache(maxsize=1)
def _phrases() -> re.Pattern[str]:
    phrases = (phrase.replace("'", "'?") for phrase in read_data("distress")["phrases"])
    return re.compile(rf"\b(?:{'|'.join(phrases)})\b")


def denies(text: str) -> bool:
    """Whether a word in it denies or refuses something."""
    said = f" {' '.join(NOT_WORDS.split(text.lower().replace(chr(0x2019), chr(39))))} "
    return any(f" {word} " in said for word in _denials())


@lru_cache(maxsize=1)
def _denials() -> tuple[str, ...]:
    return tuple(read_data("denials")["words"])


def before_a_correction(text: str) -> Iterator[str]:
    """What was said before each word that marks a self-correction ("take four no take three")."""
    words = [(match.group().lower(), match.start()) for match in re.finditer(r"[\w']+|[-+*/=().]", text)]
    for at in range(1, len(words) - 1):
        if any(tuple(word for word, _ in words[at : at + len(one)]) == one for one in markers()):
            yield text[: words[at][1]]


@cache
def _table(name: str) -> Table:
    """Longest phrase first, so that "like terms" is found before "terms"."""
    rows = [(topic, phrase) for topic, phrases in read_data("topics")[name].items() for phrase in phrases]
    rows.sort(key=lambda row: -len(row[1]))
    return tuple((topic, re.compile(rf"(?<![\w']){re.escape(phrase)}(?![\w'])")) for topic, phrase in rows)


def with_topic(act: Act, text: str) -> Act:
    """The act with the word it asks about, or the mood it is; any other act as it is."""
    said = text.lower().replace("\N{RIGHT SINGLE QUOTATION MARK}", "'")
    match act:
        case Ask("meaning", ""):
            return Ask("meaning", _topic("word", said) or ("coefficient" if TERM.search(said) else ""))
        case Ask("why", "") if _topic("word", said) == POINT:
            return Ask("meaning", POINT)
        case Comment("feel", None):
            mood = _topic("mood", said)
            return Comment("feel", cast(Mood, mood)) if mood in get_args(Mood) else act
    return act


def _topic(name: str, said: str) -> str:
    return next((topic for topic, phrase in _table(name) if phrase.search(said)), "")
