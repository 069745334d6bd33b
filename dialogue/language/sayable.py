"""What can be said, for people: a short answer to "what can I say?" and the whole list, from the wordings' examples."""

from collections.abc import Iterable
from functools import lru_cache

from dialogue.language.grammar import Wording, load
from dialogue.meaning import Expecting

HEADINGS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("Adding to the sides", ("move add",)),
    ("Subtracting from the sides", ("move subtract", "signed")),
    ("Multiplying the sides", ("move multiply", "cross")),
    ("Dividing the sides", ("move divide",)),
    ("Undoing an operation", ("inverse",)),
    ("Moving a term over (the tutor asks what you do to both sides)", ("transfer",)),
    ("Stating the next line", ("state",)),
    ("How many numbers solve it", ("verdict",)),
    ("An answer", ("value", "number")),
    ("What is done to the unknown", ("describe", "chain")),
    ("Writing a line another way", ("rewrite",)),
    ("What a balance does", ("see",)),
    ("Asking", ("ask",)),
    ("Yes, no, stuck", ("say",)),
    ("The lesson itself", ("control",)),
)

SHORT: dict[Expecting, tuple[str, ...]] = {
    "any": ("move subtract", "move divide", "state", "ask hint"),
    "move": ("move subtract", "move divide", "inverse", "rewrite expand"),
    "value": ("value", "say stuck", "ask hint"),
    "equation": ("state", "verdict none", "control undo"),
    "yesno": ("say yes", "say no", "ask repeat"),
    "operations": ("chain", "describe", "ask hint"),
    "term": ("describe", "value", "ask hint"),
    "balance": ("see right down", "see same off", "ask hint"),
}


@lru_cache(maxsize=1)
def _examples() -> tuple[Wording, ...]:
    return tuple(one for one in load().wordings if one.example and one.means and one.gives != "unclear")


def _about(kinds: Iterable[str]) -> list[str]:
    kinds = tuple(kinds)
    found = (
        one.example
        for kind in kinds
        for one in _examples()
        if (one.means == kind or one.means.startswith(f"{kind} ")) and one.gives
    )
    return list(dict.fromkeys(found))


def short(expecting: Expecting = "any") -> tuple[str, ...]:
    """A few things that can be said now, one of each kind, the usual first."""
    return tuple(_about((kind,))[0] for kind in SHORT[expecting])


def document() -> str:
    """The whole list as Markdown: every heading with an example of each of its wordings."""
    lines = ["# What can be said", "", "Said or typed, in your own words; these are examples of each way.", ""]
    for heading, kinds in HEADINGS:
        lines += [f"## {heading}", "", *(f"- {example}" for example in _about(kinds)), ""]
    return "\n".join(lines)
