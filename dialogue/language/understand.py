"""From words to meaning: what a learner typed or said, as one of the meanings of ``dialogue.meaning``.

In stages, each a file: plain tokens (``words``), the grammar over them (``grammar``, from ``wordings/*.toml``), a
self-correction's last version (``repairs``), and then only what was asked (``expecting``) and the letter of the
unknown settle a tie. The equation is never seen, so that which answer would be right cannot matter.
"""

from functools import partial

from dialogue.algebra.reading import MAX_LENGTH
from dialogue.language import words
from dialogue.language.choosing import Reader
from dialogue.language.typed import read_typed
from dialogue.meaning import Expecting, Meaning, Unclear

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
    plain = words.cleaned(text)
    reader = Reader(expecting, letter)
    if reader.distressed(plain):
        return Unclear("distress")
    if words.has_decimal_comma(plain):
        return Unclear("decimal comma")
    if words.has_two_moves(plain):
        return Unclear("two moves")
    typed = None if words.is_textspeak(plain) else read_typed(plain, expecting, letter)
    if typed is not None:
        return typed
    tokens = words.tokens(plain, letter)
    if not tokens or len(tokens) > MOST_TOKENS:
        return Unclear()
    return reader.read(tokens, partial(words.pieces, plain, letter))
