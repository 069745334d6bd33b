"""What a question about a word, or a mood, is about, by the phrases of ``en/topics.toml``."""

import re
from functools import cache
from typing import cast, get_args

from dialogue.acts import Act, Ask, Comment, Mood
from dialogue.understanding.grammar import read_data

POINT = "point"  # "what's the point?" is asked as a why
TERM = re.compile(r"\d[a-z]\b")  # "what does 7x mean?"

Table = tuple[tuple[str, re.Pattern[str]], ...]


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
