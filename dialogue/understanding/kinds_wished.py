"""A kind of equation that a learner asks for by its name: "can we skip to brackets", "give me one with fractions"."""

import re
from dataclasses import dataclass
from functools import cache
from typing import cast

from dialogue.acts import KindOfEquation
from dialogue.understanding.grammar import read_data
from dialogue.understanding.normalise import in_lower_case
from dialogue.understanding.question_topics import as_pattern


@dataclass(frozen=True, slots=True)
class KindWished:
    """The kind, where its phrase stands in the sentence, and whether it is to come at once."""

    kind: KindOfEquation
    start: int
    end: int
    now: bool


@cache
def _patterns() -> tuple[re.Pattern[str], tuple[tuple[KindOfEquation, re.Pattern[str]], ...], re.Pattern[str]]:
    """Any frame around any name; each kind's names; what asks for it at once."""
    data = read_data("kinds")
    names = {kind: _either(each) for kind, each in data["names"].items()}
    whole = _either(data["frames"]).replace(r"\{kind\}", f"(?:{'|'.join(names.values())})")
    kinds = tuple((cast(KindOfEquation, kind), _whole(pattern)) for kind, pattern in names.items())
    return _whole(whole), kinds, _whole(_either(data["now"]))


def _either(phrases: list[str]) -> str:
    return "|".join(as_pattern(phrase) for phrase in sorted(phrases, key=len, reverse=True))


def _whole(pattern: str) -> re.Pattern[str]:
    return re.compile(rf"(?<![\w'])(?:{pattern})(?![\w'])")


def kind_wished(sentence: str) -> KindWished | None:
    """The kind that a sentence asks for; None where it asks for none."""
    said = in_lower_case(sentence)
    whole, kinds, now = _patterns()
    found = whole.search(said)
    if found is None:
        return None
    named = ((kind, list(names.finditer(found[0]))) for kind, names in kinds)
    last = max(((each[-1].end(), kind) for kind, each in named if each), default=None)
    return None if last is None else KindWished(last[1], found.start(), found.end(), now.search(said) is not None)


def is_for_now(sentence: str) -> bool:
    """Whether what is wished for in a sentence is to come instead of what is in hand."""
    return _patterns()[2].search(in_lower_case(sentence)) is not None
