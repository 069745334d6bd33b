"""A turn of several sentences read sentence by sentence, where the whole of it was not understood for sure.

Whoever thinks aloud says one plain thing in the middle of much talk ("that looks odd. so n = 90? not sure"). A sentence
that is sure by itself counts; of the others nothing is taken but a number that stands alone in a few words. What was
put right by a later sentence ("20? no, 18") is left out.
"""

import re
from collections.abc import Sequence
from dataclasses import replace

from dialogue.acts import (
    Act,
    Ask,
    Comment,
    Control,
    Disclosure,
    Expecting,
    Interpretation,
    Refused,
    Say,
    Term,
    Unclear,
    Value,
)
from dialogue.algebra.moves import Line
from dialogue.algebra.tree import constant
from dialogue.tutor.ordering import CONTENT
from dialogue.understanding.certain import markers
from dialogue.understanding.interpret import interpret
from dialogue.understanding.phrase_spotting import denies
from dialogue.understanding.running_sums import lone_number

ENDS = re.compile(r"(?<=[.!?;…])\s+|\n+|\.{2,}|\s+(?=(?:but|so then|then)\s)|,\s+(?=(?:so|but|because|cos|coz)\s)")
MOST_SENTENCES = 8  # of a turn: what a turn costs is bounded
FEW_WORDS = 3  # beside a number that stands alone
TALK = (Comment, Ask, Say)


def by_sentence(text: str, expecting: Expecting, letter: str, tutor: str) -> Interpretation | None:
    """What the sentences say that are sure by themselves, in their order; None where none says anything that counts,
    or the turn is one sentence."""
    said = sentences(text)
    if len(said) < 2:
        return None
    found: list[Act] = []
    for one in said[:MOST_SENTENCES]:
        acts = _acts_of(one, expecting, letter, tutor)
        if any(isinstance(act, Disclosure | Refused) for act in acts):
            return None
        if _puts_right(one) and (put_right := _replaced(found, acts)):
            found = put_right
            continue
        found += [act for act in acts if act not in found]
    counts = any(isinstance(act, (*CONTENT, Ask, Control)) for act in found)
    return Interpretation(tuple(found), sure=True) if counts else None


def with_sentences(whole: Interpretation, apart: Interpretation) -> Interpretation:
    """The reading of a whole turn that leads on, with the lines and the plain commands that its sentences have and it
    has not."""
    missing = [act for act in apart.acts if isinstance(act, Line | Control) and act not in whole.acts]
    return replace(whole, acts=(*whole.acts, *missing)) if missing else whole


def sentences(text: str) -> list[str]:
    """The sentences and clauses of a text that may be read apart."""
    return [one.strip(" ,") for one in ENDS.split(text) if re.search(r"\w", one)]


def _acts_of(text: str, expecting: Expecting, letter: str, tutor: str) -> tuple[Act, ...]:
    found = interpret(text, expecting, letter, tutor)
    if found.sure:
        return tuple(act for act in found.acts if not isinstance(act, Unclear))
    number = None if denies(text) else lone_number(text, FEW_WORDS)
    if number is not None:
        return (Value(constant(number)),)
    return tuple(act for act in found.acts if isinstance(act, TALK) and act not in {Say("yes"), Say("no")})


def _puts_right(text: str) -> bool:
    words = tuple(re.findall(r"[\w']+", text.lower()))
    return any(words[: len(one)] == one and len(words) > len(one) for one in markers())


def _replaced(found: Sequence[Act], acts: Sequence[Act]) -> list[Act]:
    """What was said before, with what a sentence of correction says in place of the last of its kind; empty where
    there is none."""
    new = [act for act in acts if isinstance(act, CONTENT)]
    if len(new) != 1:
        return []
    kinds: tuple[type, ...] = (Value, Term) if isinstance(new[0], Value | Term) else (type(new[0]),)
    at = next((place for place in reversed(range(len(found))) if isinstance(found[place], kinds)), None)
    return [] if at is None else [*found[:at], *new, *found[at + 1 :]]
