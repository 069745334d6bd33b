"""The tags that the tagger gives each word: whether an act begins there, and what the act and its parts are.

A stretch of words tagged ``B-move I-move ...`` is one act. Its operation, sides, detail and refusal are read from the
tags of all its words together; its argument is the stretch tagged ``B-N I-N ...`` inside it: N an operand or value, P
a part or factor in one word ("halve"), L and R the two sides of an equation.
"""

from typing import Final

ACTS: Final = (
    "move", "describe", "state", "value", "term", "work", "try", "rewrite", "ask", "say", "control", "reason", "rule",
    "notice", "goal", "object", "feel", "aside", "disclosure", "unclear",
)  # fmt: skip
BOUNDARIES: Final = ("O", *(f"B-{act}" for act in ACTS), *(f"I-{act}" for act in ACTS))
OPERATIONS: Final = ("none", "add", "subtract", "multiply", "divide", "transfer", "subtract_from", "divide_into")
SIDES: Final = ("unsaid", "both", "left", "right")
DETAILS: Final = (
    "none", "no-solution", "all-numbers",
    *(f"how-{how}" for how in ("expand", "collect", "swap", "simplify")),
    *(f"for-{what}" for what in ("hint", "repeat", "why", "check", "example", "progress", "meaning", "answer")),
    *(f"say-{what}" for what in ("yes", "no", "stuck", "checked")),
    *(f"control-{what}" for what in ("undo", "skip", "stop", "pause", "restart", "slower", "easier", "harder", "lead")),
)  # fmt: skip
REFUSED: Final = ("0", "1")
ARGUMENTS: Final = ("O", *(f"{begin}-{role}" for role in "NPLR" for begin in "BI"))

HEADS: Final[dict[str, tuple[str, ...]]] = {
    "bio": BOUNDARIES, "op": OPERATIONS, "sides": SIDES, "sub": DETAILS, "neg": REFUSED, "arg": ARGUMENTS,
}  # fmt: skip
"""The heads of the network, in the order of its outputs."""


def slices() -> dict[str, slice]:
    """Where each head's tags stand among the network's outputs for a word."""
    found: dict[str, slice] = {}
    at = 0
    for name, tags in HEADS.items():
        found[name] = slice(at, at + len(tags))
        at += len(tags)
    return found
