"""Comparing a meaning with the one a careful human tutor would take, and counting."""

import json
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from dialogue.acts import to_json
from dialogue.algebra.equation import read_equation
from dialogue.algebra.linear import linear
from dialogue.algebra.reading import read_expression
from dialogue.algebra.refusals import Refusal
from dialogue.understanding.understand import understand

DATA = Path(__file__).parent / "data"


def same(found: dict[str, Any], wanted: dict[str, Any]) -> bool:
    """Whether two meanings in JSON are the same; mathematics is compared side by side, by value."""
    if found["act"] != wanted["act"]:
        return False
    if wanted["act"] == "unclear":
        return True
    return all(_equal(key, found.get(key), wanted.get(key)) for key in {*found, *wanted})


def _equal(key: str, found: Any, wanted: Any) -> bool:
    if found == wanted or found is None or wanted is None:
        return bool(found == wanted)
    try:
        if key in {"operand", "value"}:
            return linear(read_expression(found)) == linear(read_expression(wanted))
        if key == "equation":
            return read_equation(found).linear() == read_equation(wanted).linear()
    except Refusal:
        return False
    return False


@dataclass
class Score:
    """How many of each group were right, and how many were wrong though not unclear."""

    of: Counter[str] = field(default_factory=Counter)
    right: Counter[str] = field(default_factory=Counter)
    confident: Counter[str] = field(default_factory=Counter)
    failures: list[str] = field(default_factory=list, repr=False)  # the held half is never shown
    otherwise: list[str] = field(default_factory=list, repr=False)  # not to the letter: wrong, another form, a question

    def add(self, groups: tuple[str, ...], found: dict[str, Any], wanted: dict[str, Any], text: str) -> None:
        """Count one utterance under each of its groups."""
        good = same(found, wanted)
        for group in groups:
            self.of[group] += 1
            self.right[group] += good
            self.confident[group] += not good and found["act"] != "unclear"
        if found != wanted:
            self.otherwise.append(f"{text!a} -> {short(found)}")
        if not good:
            self.failures.append(f"{text!r}: wanted {wanted}, found {found}")

    def share(self, group: str = "all") -> float:
        """The share that is right."""
        return self.right[group] / self.of[group]

    def wrong(self, group: str = "all") -> float:
        """The share that is wrong and confident."""
        return self.confident[group] / self.of[group]

    def report(self) -> str:
        """A line a group."""
        lines = [
            f"{group:10} {self.right[group]:4} of {self.of[group]:4} {self.share(group):7.1%}"
            f"   wrong but confident {self.confident[group]:3} {self.wrong(group):6.2%}"
            for group in sorted(self.of)
        ]
        return "\n".join(lines)


def score(path: Path) -> Score:
    """Understand every utterance of a file of JSON lines; only the letter is taken from its equation."""
    result = Score()
    for line in path.read_text("utf-8").splitlines():
        item = json.loads(line)
        letter = read_equation(item["equation"]).letter
        found = to_json(understand(item["text"], item["expecting"], letter))
        result.add(("all", item["channel"], item["meaning"]["act"]), found, item["meaning"], item["text"])
    return result


def short(meaning: dict[str, Any]) -> str:
    """A meaning in JSON written short; ``meaning_of`` reads it."""
    act, *rest = meaning.values()
    said = [", ".join(" ".join(one) for one in each) if isinstance(each, list) else each for each in rest]
    return " ".join(said if act == "move" else [act, *said])


def meaning_of(text: str) -> dict[str, Any]:
    """A meaning written short, as beside the wordings: ``subtract 6 both``, ``state 2*x = 10``, ``ask hint``."""
    text = text.removeprefix("move ")
    act, _, rest = text.partition(" ")
    if act in {"add", "subtract", "multiply", "divide", "transfer"}:
        operand, _, sides = rest.rpartition(" ")
        return {"act": "move", "operation": act, "operand": operand, "sides": sides}
    if act == "describe":
        return {"act": act, "operations": [one.split() for one in rest.split(", ")]}
    key = {"state": "equation", "value": "value", "rewrite": "how", "ask": "for", "say": "what", "control": "what",
           "see": "what", "unclear": "question"}  # fmt: skip
    return {"act": act, key[act]: rest} if rest else {"act": act}
