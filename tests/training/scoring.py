"""Whether a reading is right: acts compared in order, expressions by value.

Where a turn holds acts that change the board or the lesson, those are compared; a yes, a question or talk beside them
more or less is let pass. Otherwise all acts that count are.
"""

from collections.abc import Hashable, Iterable, Sequence
from typing import Any

from dialogue.acts import Act, to_json
from dialogue.algebra.reading import read_expression
from dialogue.algebra.refusals import Refusal
from dialogue.understanding import spans
from training.reading import Label, LabelledTurn

CHANGES = ("move", "state", "value", "rewrite", "control", "not")
COUNTS = (*CHANGES, "ask", "say", "unclear")

Items = list[tuple[Hashable, ...]]


def is_right(turn: LabelledTurn, acts: Sequence[Act]) -> bool:
    """Whether the acts are what either labeller heard."""
    read = counted(act for one in acts for act in items(to_json(one), turn.letter))
    return any(read == labelled(label, turn.letter) for label in (turn.acts, turn.others) if label is not None)


def agree(turn: LabelledTurn) -> bool:
    """Whether the two labellers heard the same."""
    return labelled(turn.acts, turn.letter) == labelled(turn.others or [], turn.letter)


def labelled(labels: Iterable[Label], letter: str) -> Items:
    """What counts of a turn's labels."""
    return counted(item for label in labels for item in items(label, letter))


def counted(found: Iterable[tuple[Hashable, ...]]) -> Items:
    """The acts that change something; where there are none, all that count."""
    everything = list(found)
    changing = [item for item in everything if item[0] in CHANGES]
    return changing or [item for item in everything if item[0] in COUNTS]


def items(act: Label, letter: str) -> Items:
    """An act's JSON in comparable form; a description is compared operation by operation."""

    def value(text: Any) -> Hashable:
        if text is None:
            return None
        try:
            return spans.value_of(read_expression(str(text).lower(), letter)) or str(text)
        except Refusal:
            return str(text).replace(" ", "")

    match act:
        case {"act": "move", "operation": operation, "operand": operand, "sides": sides}:
            return [("move", operation, value(operand), "unsaid" if operation == "transfer" else sides)]
        case {"act": "describe", "operations": operations}:
            return [("move", operation, value(operand), "unsaid") for operation, operand in operations]
        case {"act": "state", "equation": equation} if "=" in equation:
            return [("state", *map(value, equation.split("=", 1)))]
        case {"act": "value" | "try", "value": text} | {"act": "term", "term": text}:
            return [("value", value(text))]
        case {"act": "not", "of": of}:
            return [("not", tuple(items(of, letter)))]
        case {"act": "work"}:
            return [("work",)]
    detail = next((text for name, text in act.items() if name in {"how", "for", "what", "equation"}), None)
    return [(act["act"],)] if detail is None else [(act["act"], detail)]
