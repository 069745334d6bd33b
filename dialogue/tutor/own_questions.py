"""Questions beside the work that the tutor knows by their words: rows of ``en/questions.toml``."""

import re
import tomllib
from collections.abc import Iterator
from functools import cache
from importlib import resources

from dialogue.understanding.learned_topics import Asked
from dialogue.understanding.normalise import in_lower_case
from dialogue.understanding.question_topics import SENTENCES, as_pattern

ASKS = re.compile(
    r"\?|\b(?:why|how|what|whats|what's|which|wonder|know|asked|asking|question|called|tell|telling)\b"
    r"|\b(?:do you|does|when i|is it|is that|are they|y)\b"
)


def own_questions(text: str) -> Iterator[Asked]:
    """At most one a sentence: the row of its longest phrase, where the sentence asks or speaks of a question."""
    at = 0
    for sentence in SENTENCES.findall(text):
        said, begin, at = in_lower_case(sentence), at, at + len(sentence)
        found = next(((topic, one) for topic, phrase in _rows() if (one := phrase.search(said))), None)
        if found is not None and ASKS.search(said):
            topic, where = found
            yield Asked(topic, begin + where.start(), begin + len(sentence.rstrip()), 1.0)


@cache
def own_table() -> dict[str, dict[str, list[str]]]:
    """What is looked for in a learner's words."""
    return tomllib.loads(resources.files("dialogue.tutor").joinpath("en/questions.toml").read_text("utf-8"))


@cache
def _rows() -> tuple[tuple[str, re.Pattern[str]], ...]:
    rows = [(topic, phrase) for topic, phrases in own_table()["asked"].items() for phrase in phrases]
    rows.sort(key=lambda row: -len(row[1]))
    return tuple((topic, re.compile(rf"(?<![\w'])(?:{as_pattern(phrase)})(?![\w'])")) for topic, phrase in rows)
