"""From words to meaning: what a learner typed or said, as one of the meanings of ``dialogue.acts``.

In stages, each a file: plain tokens (``normalise``), the grammar over them (``grammar``, from ``en/*.toml``), a
self-correction's last version (``repairs``), and then only what was asked (``expecting``) and the letter of the
unknown settle a tie. The equation is never seen, so that which answer would be right cannot matter.
"""

from functools import cache, partial

from dialogue.acts import Describe, Expecting, Meaning, Unclear, Value
from dialogue.algebra.moves import Line, Move, Rewrite
from dialogue.algebra.reading import MAX_LENGTH
from dialogue.understanding import normalise
from dialogue.understanding.grammar import read_data
from dialogue.understanding.interpreter import Interpreter
from dialogue.understanding.symbolic import read_typed

MOST_TOKENS = 40  # nobody says a move in more words


def understand(text: str, expecting: Expecting = "any", letter: str = "x") -> Meaning:
    """What the words mean, after the question that ``expecting`` names, in an equation with this letter.

    Total and pure: anything else than a meaning that a careful tutor would be sure of is ``Unclear``, whose
    ``question`` may name what to ask back.
    """
    if len(text) > MAX_LENGTH:
        return Unclear()
    if not letter.isascii() or len(letter) != 1 or not letter.isalpha():
        letter = "x"
    plain = normalise.cleaned(text)
    reader = Interpreter(expecting, letter)
    if reader.distressed(plain):
        return Unclear("distress")
    if normalise.has_decimal_comma(plain):
        return Unclear("decimal comma")
    if normalise.has_two_moves(plain):
        return Unclear("two moves")
    typed = None if normalise.is_textspeak(plain) else read_typed(plain, expecting, letter)
    if typed is not None:
        return typed
    tokens = normalise.tokens(plain, letter)
    if not tokens or len(tokens) > MOST_TOKENS:
        return Unclear()
    return reader.read(tokens, partial(normalise.pieces, plain, letter))


ANSWERS = (Move, Line, Rewrite, Value, Describe)


@cache
def markers() -> frozenset[tuple[str, ...]]:
    """The words that mark a correction; the file is read once, since every answer is looked at."""
    return frozenset(tuple(marker.split()) for marker in read_data("repairs")["markers"])


def taken_back(text: str, meaning: Meaning | None, expecting: Expecting, letter: str) -> Meaning | None:
    """What was said first and then corrected within the same words; None where nothing was."""
    if not isinstance(meaning, ANSWERS):
        return None
    tokens = normalise.tokens(normalise.cleaned(text), letter)
    longest = max(map(len, markers()), default=0)
    for start in range(1, len(tokens) - 1):
        if any(tuple(tokens[start : start + size]) in markers() for size in range(1, longest + 1)):
            first = understand(" ".join(tokens[:start]), expecting, letter)
            return first if isinstance(first, ANSWERS) and first != meaning else None
    return None
