"""Whether what was said so far is a whole answer, or a fragment after which a learner is given time."""

from dialogue.acts import Act, Describe, Expecting, PartMove, Term, Unclear, Value
from dialogue.understanding.interpret import interpret

# fmt: off
LEADS_ON = frozenset({  # as the last of several words, more is coming
    "a", "across", "actually", "add", "added", "an", "and", "because", "but", "by", "cause", "cos", "divide", "divided",
    "er", "erm", "equals", "from", "hmm", "i", "if", "into", "is", "like", "mean", "minus", "multiplied", "multiply",
    "no", "of", "off", "on", "or", "over", "plus", "point", "share", "so", "sorry", "subtract", "take", "the", "then",
    "times", "to", "uh", "um", "wait", "with",
})
# fmt: on
PARTS = (Value, Term, Describe)  # of a line, where a whole line was asked for


def leads_on(text: str) -> bool:
    """Whether the last of several words promises more."""
    words = text.split()
    return len(words) > 1 and words[-1] in LEADS_ON


def is_whole(text: str, expecting: Expecting, letter: str = "x") -> bool:
    """Whether a turn may end here, with but a short pause."""
    if not text.split() or leads_on(text):
        return False
    acts = interpret(text, expecting, letter).acts
    if any(isinstance(act, Unclear) or _is_begun(act) for act in acts):
        return False
    return expecting != "equation" or not all(isinstance(act, PARTS) for act in acts)


def _is_begun(act: Act) -> bool:
    """Whether it is an operation whose number is still to come."""
    return isinstance(act, PartMove) and act.operation is not None and act.operand is None
