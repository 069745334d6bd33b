"""What is asked about an equation that is over, or about a number in the tutor's last words: no step and no answer."""

import re
from collections.abc import Iterator
from fractions import Fraction

from dialogue.algebra.linear import linear
from dialogue.algebra.tree import Expression, Product, Quotient, has_unknown, numbers_in, walk
from dialogue.algebra.writing import BOARD, write
from dialogue.tutor.core.questions import due_value
from dialogue.tutor.core.state import State
from dialogue.tutor.moves.earlier_equations import OF_EARLIER, OF_NUMBER_TOLD, OF_TAKING_OFF, came_from, earlier_terms
from dialogue.understanding.learned_topics import Asked
from dialogue.understanding.question_topics import SENTENCES

TERM = re.compile(r"(?<![\w.])\d+[a-z](?![\w'])")
ASKED = re.compile(r"\b(?:why|y|how|do i|can i|could i|was)\b")
OF_ONE_OVER = re.compile(r"\bthe \d+[a-z] one\b|\b(?:before|earlier|last one|last time)\b")
NOT_OF_THIS = re.compile(r"\b(?:why|y|how come|wrong|again)\b")  # where no line here could come to lots of the unknown
TAKEN = re.compile(r"\b(?:take|taking|minus|subtract|off)\b")
HOW = re.compile(r"\b(?:how|why|where)\b")
NUMBER = re.compile(r"(?<![\w.])\d+(?:\.\d+)?(?![\w/]|\.\d)")


def asked_of_earlier(state: State, text: str) -> Iterator[Asked]:
    """At most one question a sentence; sums beside it, in the numbers of that equation alone, belong to it."""
    at, about = 0, ""
    for sentence in SENTENCES.findall(text):
        said, begin, at = sentence.lower(), at, at + len(sentence)
        found = _of_term(state, said) or _of_number(state, said)
        if found is None and about and _is_of(state, said, about):
            found = (about, 0)
        if found is not None:
            about, start = found
            yield Asked(about, begin + start, at, 1.0)


def _of_term(state: State, said: str) -> tuple[str, int] | None:
    asked = ASKED.search(said)
    if asked is None or "=" in said:
        return None
    lots = any(map(has_unknown, _pieces(state)))
    if not OF_ONE_OVER.search(said) and (lots or not NOT_OF_THIS.search(said)):
        return None
    named = TERM.findall(said)
    term = next((write(one, BOARD) for _, one in earlier_terms(state) if write(one, BOARD) in named), None)
    if term is None:
        return None
    return f"{OF_TAKING_OFF if TAKEN.search(said) else OF_EARLIER}{term}", asked.start()


def _pieces(state: State) -> Iterator[Expression]:
    for side in state.task.equation.sides():
        yield from (piece for piece in walk(side) if isinstance(piece, Product | Quotient))


def _of_number(state: State, said: str) -> tuple[str, int] | None:
    """ "Wait, 256?? How is it 256": the number alone, as the tutor said it, and how it came."""
    numbers = set(NUMBER.findall(said))
    if len(numbers) != 1 or "=" in said or not ("??" in said or HOW.search(said)):
        return None
    number = numbers.pop()
    told = {one for turn in state.said for text in turn for one in NUMBER.findall(text)}
    due = due_value(state)
    expected = None if due is None or has_unknown(due) else linear(due).constant
    if number not in told or Fraction(number) == expected or came_from(state, Fraction(number)) is None:
        return None
    return f"{OF_NUMBER_TOLD}{number}", 0


def _is_of(state: State, said: str, about: str) -> bool:
    """Whether a sentence has only numbers of the equation that was asked about, and none of the one in hand."""
    numbers = set(map(Fraction, NUMBER.findall(said)))
    if not about.startswith(OF_NUMBER_TOLD) or not numbers or "=" in said:
        return False
    made = Fraction(about.removeprefix(OF_NUMBER_TOLD))
    missed = came_from(state, made)
    if missed is None:
        return False
    there = {made, missed.guess, *(one for side in missed.equation.sides() for one in numbers_in(side))}
    here = {one for side in state.equation.sides() for one in numbers_in(side)}
    return numbers <= there and not numbers & here
