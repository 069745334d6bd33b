"""Reads labelled lessons: the training turns in ``lessons/``, those that the decision is fitted on in ``calibration/``,
the blind ones with two labels each in ``blind/``, those without labels, for the student's teachers, in ``plain/``.

A lesson file has lines ``# lesson | who: ...``, then for each turn ``T expecting | equation | tutor's sentence``,
``L what the learner says`` and one line ``A act arguments {words that carry it}`` an act. Labels of blind turns stand
in files of their own, ``12 move subtract 9 both; state 2*p = 10``. All of it is invented.
"""

import json
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

FOLDER = Path(__file__).parent
LESSONS = sorted((FOLDER / "lessons").glob("*.txt"))
UNLABELLED = sorted((FOLDER / "plain").glob("*.txt"))
CALIBRATION = sorted((FOLDER / "calibration").glob("p*.txt"))
LABEL = re.compile(r"\[?(\d+)\]?[.:)]?\s+(.*)")
LETTER = re.compile(r"(?<![A-Za-z])[A-Za-z](?![A-Za-z])")

Label = dict[str, Any]


@dataclass
class LabelledTurn:
    """One turn with its labels: acts as JSON objects, each with ``span``, the words that carry it, where told."""

    who: str
    expecting: str
    equation: str
    tutor: str
    text: str
    acts: list[Label] = field(default_factory=list)
    others: list[Label] | None = None
    """A second labeller's acts, where there are any."""

    @property
    def letter(self) -> str:
        """The unknown's letter in the equation on the board."""
        found = Counter(LETTER.findall(self.equation.replace("no solution", "").replace("all numbers", "")))
        return found.most_common(1)[0][0].lower() if found else "x"


def lessons(path: Path) -> list[LabelledTurn]:
    """The turns of one file, those without a readable label left out."""
    return [turn for turn in turns(path) if turn.acts]


def older_utterances() -> list[LabelledTurn]:
    """Single utterances with one meaning each, without context; what was unclear is left out."""
    found: list[LabelledTurn] = []
    for path in sorted((FOLDER.parent / "understanding" / "data").glob("utterances_*.jsonl")):
        for line in path.read_text("utf-8").splitlines():
            said = json.loads(line)
            act = _new_terms(said["meaning"], said["expecting"])
            if act is not None and said["expecting"] != "balance":
                found.append(LabelledTurn("", said["expecting"], said.get("equation", "x"), "", said["text"], [act]))
    return found


def _new_terms(meaning: Label, expecting: str) -> Label | None:
    """A meaning of before as an act of the contract; None where it has none."""
    match meaning:
        case {"act": "unclear" | "see"} | {"act": "ask", "for": "game"}:
            return None
        case {"act": "ask", "for": "slower"}:
            return {"act": "control", "what": "slower"}
        case {"act": "ask", "for": "wording"}:
            return {"act": "ask", "for": "meaning"}
        case {"act": "value", "value": value} if expecting == "term":
            return {"act": "term", "term": value}
    return meaning


def turns(path: Path) -> list[LabelledTurn]:
    """The turns of one file, with their labels if it has any."""
    found: list[LabelledTurn] = []
    who, asked = "", ("any", "x", "")
    for line in path.read_text("utf-8").splitlines():
        kind, _, rest = line.partition(" ")
        if kind == "#":
            who = rest
        elif kind == "T":
            expecting, equation, *tutor = (part.strip() for part in rest.split("|"))
            asked = (expecting, equation, "|".join(tutor))
        elif kind == "L":
            found.append(LabelledTurn(who, *asked, rest.strip()))
        elif kind == "A":
            match = re.fullmatch(r"(.*?)\s*\{(.*)\}\s*", rest)
            label = act_of(match[1]) if match else None
            if match and label is not None:
                found[-1].acts.append(label | {"span": match[2]})
    return found


def blind(name: str) -> list[LabelledTurn]:
    """One class of blind turns, by people who knew neither code nor data, with the labels of two others."""
    found = turns(FOLDER / "blind" / f"{name}.txt")
    first, second = (dict(_labels(FOLDER / "blind" / f"{name}_labels_{which}.txt")) for which in (1, 2))
    for number, turn in enumerate(found, 1):
        turn.acts, turn.others = first[number], second[number]
    return found


def disclosures(name: str = "disclosures_2") -> list[tuple[str, str, str, str]]:
    """One author's single turns: kind ("disclosure" or "harmless", half of each), expecting, tutor, text. The second
    author's are the later ones."""
    found = []
    for line in (FOLDER / "calibration" / f"{name}.txt").read_text("utf-8").splitlines():
        kind, expecting, tutor, text = (part.strip() for part in line.split(" | ", 3))
        found.append((kind, expecting, tutor, text))
    return found


def blind_names() -> list[str]:
    """The classes of blind turns that neither the tagger nor the decision ever saw: those of the ninth set."""
    return _blind_set("*_9")


def decided_names() -> list[str]:
    """Those of the third and the fifth to eighth set, which the tagger never saw and the decision is fitted on."""
    return [name for which in (3, 5, 6, 7, 8) for name in _blind_set(f"*_{which}")]


def _blind_set(pattern: str) -> list[str]:
    found = (FOLDER / "blind").glob(f"{pattern}_labels_1.txt")
    return sorted(path.stem.removesuffix("_labels_1") for path in found)


def seen_names() -> list[str]:
    """The classes of the sets before, which were blind once: their turns are lessons s1 to s22 since."""
    return sorted({*_blind_set("*")} - {*blind_names(), *decided_names()})


def _labels(path: Path) -> Iterator[tuple[int, list[Label]]]:
    for line in path.read_text("utf-8").splitlines():
        match = LABEL.fullmatch(line.strip())
        if match:
            acts = [act_of(part.strip()) for part in match[2].split(";") if part.strip()]
            yield int(match[1]), [act for act in acts if act is not None]


DETAIL = {"rewrite": "how", "ask": "for", "say": "what", "control": "what", "value": "value", "try": "value",
          "term": "term", "state": "equation", "work": "equation"}  # fmt: skip
PLAIN = {"reason", "rule", "notice", "goal", "object", "feel", "aside", "disclosure", "unclear"}


def act_of(text: str) -> Label | None:
    """The act of a label line; None where it cannot be read."""
    act, _, rest = text.strip().partition(" ")
    rest = rest.strip()
    if act == "not":
        of = act_of(rest)
        return None if of is None else {"act": "not", "of": of}
    if act == "move":
        parts = rest.split()
        if len(parts) < 3:
            return None
        operation, *operand, sides = parts
        said = None if operand == ["-"] else " ".join(operand)
        return {"act": act, "operation": None if operation == "-" else operation, "operand": said, "sides": sides}
    if act == "describe":
        pairs = [part.split(None, 1) for part in rest.split(",")]
        return {"act": act, "operations": [[pair[0], _operand(pair[1:])] for pair in pairs if pair]}
    if act in {"value", "try"} and (match := re.fullmatch(r"(.*?)\s+(left|right)", rest)):
        return {"act": act, "value": match[1], "side": match[2]}
    if act in DETAIL:
        return {"act": act, DETAIL[act]: rest}
    return {"act": act} if act in PLAIN else None


def _operand(rest: list[str]) -> str | None:
    return rest[0].strip() if rest and rest[0].strip() != "-" else None
