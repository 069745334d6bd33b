"""Learners whose every line is written down beforehand, by authors who know nothing of how ideas are found.

A file of cards, as in tests/bench/cards::

    CARD 1
    truth: idea            what is really so: idea, slips, guesses, disengaged, copies, well, stuck
    idea: ...              in the author's words; ``named:`` has the ids of errors.toml that say so, put in before the
                           first run by whoever read the card; empty where the table has no such idea
    sums: right            how sums that the tutor asks for are answered: right, slips, refuses
    why: ...               typed when asked how or why, unless the equation has its own
    then: skip             once nothing more is written: skip, hint, right

    EQUATION 4n + 9 = 37
      4n = 28              typed in order, each when it is the learner's turn
    again: n = 24          typed when it was just said that it does not fit
"""

import re
from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path
from random import Random
from typing import Any

from dialogue.algebra.equation import Equation, read_equation
from dialogue.algebra.moves import Move
from dialogue.algebra.solver import next_step
from dialogue.algebra.writing import TYPED, write

EXPECTS = {
    "idea": "idea",
    "guesses": "guesses",
    "disengaged": "little",
    "stuck": "stuck",
}  # whom to see first, of a truth
FIELD = re.compile(r"(truth|idea|named|explains|sums|why|then|holds|mended): *(.*)")
TALK = {"account": "", "reason": "", "reconsider": "no", "offer stop": "no", "confirm": "yes", "paused": "yes",
        "compare": "idk", "scene tips": "idk", "scene level": "idk"}  # fmt: skip


@dataclass
class Written:
    """What is written of one equation."""

    equation: str
    lines: list[str] = field(default_factory=list)
    again: list[str] = field(default_factory=list)
    why: str = ""


@dataclass
class Card:
    """One learner. ``shown``: the equations on which a line of theirs broke the balance."""

    code: str
    fields: dict[str, str]
    written: list[Written]
    draw: Random
    shown: set[str] = field(default_factory=set)
    _left: dict[str, Written] = field(default_factory=dict)
    _wrong: bool = False
    _own: bool = False

    @property
    def named(self) -> list[str]:
        """The errors that say the idea."""
        return self.fields.get("named", "").split()

    @property
    def expects(self) -> str:
        """The kind of whom to see first; empty: none, or whichever, as of an idea that went away in the lesson."""
        if self.fields.get("mended") == "yes":
            return ""
        return EXPECTS.get(self.fields.get("truth", ""), "")

    def hears(self, record: dict[str, Any], task: str) -> None:
        """What came of the last turn."""
        broke = any(step.get("balanced") is False for step in record.get("steps", ()))
        checking = str(record.get("phase", "")).startswith("check")
        self._wrong |= broke or (record.get("event") in {"value wrong", "verdict wrong"} and not checking)
        if broke and self._own and task:
            self.shown.add(task)

    def says(self, phase: str, task: Equation, line: Equation, due: str) -> str:
        """What they type."""
        if task.text() not in self._left:
            self._wrong = False
        written = self._of(task)
        self._own = False
        if phase in TALK:
            return TALK[phase] or written.why or self.fields.get("why") or "i just did it"
        if phase.startswith("check") and due:
            return self._sum(due)
        if self._wrong:
            self._wrong = False
            if self.fields.get("truth") != "guesses":  # whose next line is the next guess
                written.lines.clear()  # what would have followed from a line that was not taken
            if next_said := written.lines or written.again:
                self._own = True
                return next_said.pop(0)
            return self._then(line)
        if written.lines:
            self._own = True
            return written.lines.pop(0)
        if due:
            return self._sum(due)
        return self._then(line)

    def _of(self, task: Equation) -> Written:
        text = task.text()
        if text not in self._left:
            found = next((each for each in self.written if read_equation(each.equation).text() == text), Written(text))
            self._left[text] = Written(found.equation, list(found.lines), list(found.again), found.why)
        return self._left[text]

    def _then(self, line: Equation) -> str:
        match self.fields.get("then", "skip"):
            case "hint":
                return self.draw.choice(["i dont know", "can i have a hint", "im stuck"])
            case "right" if (step := next_step(line)) is not None:
                if isinstance(step, Move):
                    by = "by " if step.operation in {"multiply", "divide"} else ""
                    return f"{step.operation} {by}{write(step.operand, TYPED)}"
                return "collect like terms" if step.how == "collect" else "expand the bracket"
        return "skip"

    def _sum(self, due: str) -> str:
        match self.fields.get("sums", "right"):
            case "refuses":
                return "idk"
            case "slips" if re.fullmatch(r"-?\d+(/\d+)?", due) and self.draw.randrange(3) == 0:
                return str(Fraction(due) + self.draw.choice([-1, 1, 2]))
        return due


def read_cards(path: Path, seed: int) -> list[Card]:
    """Every card of a file. Raises ValueError for a line that is none of a card's."""
    cards: list[Card] = []
    for number, raw in enumerate(path.read_text("utf-8").splitlines(), 1):
        line = raw.partition("#")[0].rstrip()
        if not line.strip():
            continue
        if line.startswith("CARD"):
            code = f"{path.stem.removeprefix('cards_')[:12]}-{line.split()[1]}"
            cards.append(Card(code, {}, [], Random(f"{seed} {code}")))
        elif line.startswith("EQUATION"):
            cards[-1].written.append(Written(line.removeprefix("EQUATION").strip()))
        elif line.startswith("again:"):
            cards[-1].written[-1].again.append(line.removeprefix("again:").strip())
        elif (found := FIELD.fullmatch(line)) is not None:
            name, text = found.groups()
            if name == "why" and cards[-1].written:
                cards[-1].written[-1].why = text
            else:
                cards[-1].fields[name] = text
        elif line.startswith(" ") and cards[-1].written:
            cards[-1].written[-1].lines.append(line.strip())
        else:
            raise ValueError(f"{path}, line {number}: {raw!r} is no line of a card")
    return cards
