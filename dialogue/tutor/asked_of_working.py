"""Questions that name the move, the answer or the operation that they are about ("could I have divided by 3 at the
start?", "was my 5 right?", "is adding the right choice?"), by the patterns of ``en/questions.toml``."""

import re
from collections.abc import Iterator
from fractions import Fraction

from dialogue.algebra.moves import INVERSE, Move
from dialogue.algebra.writing import write
from dialogue.tutor.core.state import Phase, State
from dialogue.tutor.moves.of_the_working import CHOICE, COULD_HAVE, WAS_RIGHT, just_solved, solved_with
from dialogue.tutor.own_questions import own_table
from dialogue.understanding.conjecture_reader import operations_named
from dialogue.understanding.interpret import interpreted
from dialogue.understanding.learned_topics import Asked, unknown_questions
from dialogue.understanding.seen_turn import SeenTurn

UNSURE = 0.0  # of a question of which only the form is known: whatever else it asks is what it asks
ACCOUNTS: frozenset[Phase] = frozenset(
    {"operations", "first", "account", "reason"}
)  # "is it because" is an answer there
FEW = 5  # words of a question that says of itself what it is about


def asked_of_working(state: State, turn: SeenTurn) -> Iterator[Asked]:
    """What a turn asks of the working, where the move, the answer or the operation in it is plain."""
    said = turn.text.lower()
    for found in _found("could have", said):
        read = interpreted(turn.part(found.span("move")), "move")
        move = read.acts[0] if read.sure and len(read.acts) == 1 else None
        if isinstance(move, Move) and move.operation in INVERSE:
            yield Asked(f"{COULD_HAVE}{move.operation} {write(move.operand)}", found.start(), found.end(), 1.0)
        elif any(_found("done", found["move"])):  # some step, and no wish ("could I have 2 more")
            yield Asked("same result", found.start(), found.end(), 1.0)
    told = any(reply.key.startswith("answer was ") for reply in state.last)
    for found in () if told else _found("was right", said):
        of_last = just_solved(state) and not found.group().startswith("is")
        if of_last or solved_with(state, Fraction(found["number"])) is not None:
            yield Asked(f"{WAS_RIGHT}{found['number']}", found.start(), found.end(), 1.0)
    for found in _found("turned round", said):
        yield Asked("swapped", found.start(), found.end(), 1.0)
    for found in _found("choice", said):
        named = operations_named(found["operation"])
        if len(named) == 1 and named[0] in INVERSE:
            yield Asked(f"{CHOICE}{named[0]}", found.start(), found.end(), 1.0)


def asked_by_form(state: State, turn: SeenTurn) -> Iterator[Asked]:
    """Questions of which nothing is known but that they are asked, beside something else: a belief put as a reason ("is
    it because ...?"), and what asks surely and of no prepared topic."""
    if state.phase not in ACCOUNTS:
        for found in _found("because", turn.text.lower()):
            yield Asked("because", found.start(), found.end(), UNSURE)
    for one in unknown_questions(turn):
        said, before = turn.text[one.start : one.end].lower(), turn.text[: one.start] + turn.text[one.end :]
        if re.match(own_table()["working"]["open"][0], said) and len(said.split()) > FEW and re.search(r"\d", before):
            yield one


def _found(name: str, said: str) -> Iterator[re.Match[str]]:
    for pattern in own_table()["working"][name]:
        yield from re.finditer(pattern, said)
