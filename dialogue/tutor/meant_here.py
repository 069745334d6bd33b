"""What a few words mean by what was just asked: what is left of a side, a correction that is no "no", a move put as a
question beside a check, and the wish to have one's own question answered."""

import re
from dataclasses import replace

from dialogue.acts import CONTENT, Ask, Comment, Interpretation, Say, Value
from dialogue.algebra.moves import Line, Move
from dialogue.algebra.refusals import Refusal
from dialogue.algebra.tree import has_unknown
from dialogue.judgement import judge
from dialogue.tutor.by_sentence import sentences
from dialogue.tutor.core.state import CHECKING, State
from dialogue.tutor.taken_up import words_of
from dialogue.understanding.certain import certain_acts
from dialogue.understanding.interpret import interpreted
from dialogue.understanding.normalise import in_lower_case
from dialogue.understanding.seen_turn import SeenTurn

FIRST_WORDS = re.compile(r"[?!,;]|\.(?!\d)|\s(?:because|becuase|cos|coz|cause)\s")
I_MEAN = re.compile(r"\W*no\W+(?:(?:wait|sorry|oh)\W+)?i\s+(?:mean|meant|ment)\b")
MY_QUESTION = re.compile(r"\banswer (?:my|the) question\b")


def meant_here(state: State, turn: SeenTurn, found: Interpretation) -> Interpretation:
    """What was understood, as what it is to the question in hand."""
    text = turn.text.lower()
    left = _what_is_left(state, text, found)
    if left is not None and all(act == left for act in found.acts if isinstance(act, CONTENT)):
        talk = tuple(act for act in found.acts if isinstance(act, Comment) and act.kind == "feel")
        return Interpretation((left, *talk), sure=True)
    if I_MEAN.match(text) and state.phase == "reconsider" and any(isinstance(act, Line) for act in found.acts):
        found = replace(found, acts=tuple(act for act in found.acts if act != Say("no")))
    if MY_QUESTION.search(text):
        step = any(isinstance(act, CONTENT) for act in found.acts)
        asked = Comment("object", None if step else "not heard")
        acts = tuple(asked if act in {Ask("answer"), Comment("object")} else act for act in found.acts)
        found = replace(found, acts=tuple(dict.fromkeys(acts)))
    move = _move_asked(state, turn, found)
    return found if move is None else replace(found, acts=(*found.acts, move))


def line_put_right(state: State, text: str, found: Interpretation) -> Interpretation:
    """Of two lines in a turn that has words of correction, the one that does not follow, where the other does, as taken
    back ("3n - 7 = 36, no wait, 3n - 21 = 36")."""
    lines = [act for act in found.acts if isinstance(act, Line)]
    if len(lines) != 2 or not words_of("corrected").search(in_lower_case(text)):
        return found
    follow = [_follows(state, line) for line in lines]
    if follow[0] == follow[1]:
        return found
    wrong = lines[follow.index(False)]
    return replace(found, acts=tuple(act for act in found.acts if act != wrong), taken_back=wrong)


def _follows(state: State, line: Line) -> bool:
    try:
        return judge(state.equation, line).balanced is not False
    except Refusal:
        return False


def _what_is_left(state: State, text: str, found: Interpretation) -> Value | None:
    """What a side becomes, where that was asked after a line that did not follow."""
    if state.phase != "move" or not state.last or not state.last[-1].key.startswith("what becomes"):
        return None
    read = certain_acts(FIRST_WORDS.split(text)[0].strip(), "value", state.letter) or found.acts
    said = read[0]
    return said if len(read) == 1 and isinstance(said, Value) and has_unknown(said.value) else None


def _move_asked(state: State, turn: SeenTurn, found: Interpretation) -> Move | None:
    """The move with which a turn ends as a question, where an answer that does not fit is put in."""
    wrong = state.phase in CHECKING and state.guess != state.task.equation.solution().value
    if not wrong or not turn.text.rstrip().endswith("?") or any(isinstance(act, Move | Line) for act in found.acts):
        return None
    said = sentences(turn)
    read = interpreted(said[-1], "move") if len(said) > 1 else None
    move = read.acts[0] if read is not None and read.sure and len(read.acts) == 1 else None
    return move if isinstance(move, Move) and judge(state.equation, move).closer else None
