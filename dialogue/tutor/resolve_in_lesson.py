"""What was understood, made the meaning that it has in this lesson: what a question is about, a move said of one side
alone, a question beside what is not sure, which of two moves a few words pick out, and whether the learner writes
decimals."""

import re
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from dialogue.acts import (
    Act,
    Ask,
    Comment,
    Control,
    Describe,
    Interpretation,
    PartMove,
    Refused,
    Say,
    Try,
    Unclear,
    Value,
    Work,
)
from dialogue.algebra.linear import linear
from dialogue.algebra.moves import INVERSE, Line, Move, Sides
from dialogue.algebra.operations import operations_on
from dialogue.algebra.solver import next_step, value_at
from dialogue.algebra.tree import Negative, Number, Sum, constant, has_unknown, walk
from dialogue.judgement import judge
from dialogue.tutor.asked_beside import BARE, GLOSSARY, asked_beside
from dialogue.tutor.core.line_in_hand import answer_said
from dialogue.tutor.core.state import ASKING, CHECKING, State
from dialogue.tutor.heard_here import (
    as_undoing,
    asked_once,
    described_in_words,
    heard_here,
    of_notation,
    without_other_numbers,
)
from dialogue.tutor.moves.conjectures import is_conjecture
from dialogue.tutor.moves.learner_questions import has_answer
from dialogue.tutor.numbers_said import by_the_other, not_named_beside, of_a_sum, value_and_another, without_the_side
from dialogue.tutor.sure_parts import (
    as_belief,
    as_completed,
    as_told,
    as_undoing_named,
    neither,
    side_named,
    with_number_of_line,
    with_number_said,
)
from dialogue.understanding.certain import certain_acts
from dialogue.understanding.normalise import in_lower_case, with_points
from dialogue.understanding.plain_questions import Parted
from dialogue.understanding.question_topics import with_plain_question, with_topic, with_what_is_felt
from dialogue.understanding.running_sums import running_sums, said_of_both
from dialogue.understanding.said_sides import one_side
from dialogue.understanding.seen_turn import SeenTurn
from dialogue.verbalising.replies import as_read_back

DECIMAL = re.compile(r"\d\.\d")
MIXED = re.compile(r"\d\s+\d+/\d|\w\s+and an?\s+(?:half|third|quarter|fifth)")
ONE = r"-?\d+(?:\.\d+|/\d+)?"
ANOTHER = rf"(?P<new>{ONE})(?!\.?\d|[a-z/]|\s*[-+*/x=(])"
INSTEAD = (
    re.compile(rf"\bnot (?P<old>{ONE})\b\W+(?:(?:but|its|it's|it is|it)\W+)*{ANOTHER}"),
    re.compile(rf"(?:=|\bis|\bits|\bit's|\bsaid|\bmeant) *{ANOTHER},?\s+(?:and\s+)?not (?P<old>{ONE})\b"),
    re.compile(rf"\b(?:i|i was|i did) (?:mean|meant|ment),? {ANOTHER}"),
    re.compile(
        rf"^\W*(?:(?:oh|no|nope|sorry|oops|wait|actually|i mean|i meant|its|it's|it is)\W+)+{ANOTHER}"
        r"\W*(?:$|(?<=[.!?]) )"
    ),
)
SAID_AGAIN = re.compile(  # the answer, and at once another
    rf"= *(?P<old>{ONE})\W+(?:(?:no|nope|sorry|oops|wait|i mean|i meant|i ment)\W+)+{ANOTHER}"
)
CORRECTS = re.compile(r"\b(?:not|no|nope|wait|sorry|oops|i mean|i meant|i ment)\b")
TAKEN_OFF = re.compile(r"\b(?:off|undo|undoes|rid|both sides|away from both)\b")
CANCELS = re.compile(r"\bcancel")
TURNED_ROUND = re.compile(r"\b(?:after|before|once)\b")  # what is named first is not done first
OPEN_QUESTION = re.compile(
    r"(?:^|[.!,?] )(?:and |but |so |ok )?"
    r"(?:why|how|what|who|when|where|do you|are you|did you|have you|can you)\b[^.!?]*\?"
)
ORDINALS = (("first", "1st"), ("second", "2nd", "last"))  # of the two moves that a question names
LETTERS = re.compile(r"[a-z]+")
LEAST = 3  # letters in which a word must begin like one of the move's ("add" of "added")
VAGUE = frozenset({"aside", "notice", "goal", "rule"})
TALK = (Comment, Ask, Refused)  # acted on though not sure: nothing is done, or only said


def resolved(state: State, turn: SeenTurn, found: Interpretation) -> Interpretation:
    """The interpretation with what its questions and moods are about, and its moves on the sides that were said."""
    text = turn.text
    found = without_other_numbers(state, text, value_and_another(state, text, found))
    found = _of_both_sides(state, text, _number_not_taken_off(state, text, found))
    found = _put_right(state, text, _without_nothing_left(text, found))
    found = neither(state, text, found)
    if state.phase == "operations" and TAKEN_OFF.search(text.lower()):  # ahead of the question: what undoes it
        found = replace(found, acts=tuple(as_undoing(state, act) for act in found.acts))
    found = replace(found, acts=tuple(as_belief(by_the_other(state, text, act)) for act in found.acts))
    told = (as_undoing_named(state, text, as_completed(state, text, as_told(state, text, act))) for act in found.acts)
    read = (with_number_said(state, text, without_the_side(state, act)) for act in told)
    found = replace(found, acts=with_number_of_line(text, tuple(read)))
    found = of_a_sum(state, text, not_named_beside(state, text, _in_the_order_named(state, text, found)))
    found = replace(found, acts=heard_here(state, found.acts))
    acts = _with_learned_topic(state, turn, tuple(with_topic(act, text) for act in found.acts))
    acts = with_what_is_felt(with_plain_question(acts, text), text)
    acts = asked_once(tuple(of_notation(state, text, act) for act in acts))
    if OPEN_QUESTION.search(text.lower()) and not any(isinstance(act, Ask) for act in acts):  # nothing answers it
        if Comment("aside") in acts:
            acts = tuple(act for act in acts if act != Comment("aside"))
            acts = (*acts, Ask("check", "open"))
        elif all(isinstance(act, Comment) and act.kind in VAGUE for act in acts):
            acts = (*acts, Ask("check", "open"))
    return _on_one_side(state, text, described_in_words(state, text, replace(found, acts=acts)))


def answer_corrected(text: str, found: Interpretation) -> Interpretation:
    """ "n = 41, i meant 14": the answer is 14."""
    said = SAID_AGAIN.search(text.lower())
    old, new = (None, None) if said is None else (_number(said.group("old")), _number(said.group("new")))
    if old is None or new is None:
        return found
    acts = [act for act in found.acts if not (isinstance(act, Value) and act.value in {constant(old), constant(new)})]
    meant = [
        replace(act, equation=replace(act.equation, right=constant(new)))
        if isinstance(act, Line) and answer_said(act) == old
        else act
        for act in acts
    ]
    return replace(found, acts=tuple(dict.fromkeys(meant))) if meant != acts else found


def _in_the_order_named(state: State, text: str, found: Interpretation) -> Interpretation:
    """Of two operations named, one understood: where the number of the other stands before it, it was named first ("5
    lots of n and then add 4"), so that no wrong order is ever confirmed."""
    at = next((place for place, act in enumerate(found.acts) if isinstance(act, Describe)), None)
    described = found.acts[at] if at is not None else None
    if state.phase != "operations" or not isinstance(described, Describe) or len(described.operations) != 1:
        return found
    told = described.operations[0]
    before = re.split(rf"(?<!\d){linear(told.operand).constant}(?!\d)", text, maxsplit=1)[0]
    if before == text or TURNED_ROUND.search(text.lower()):
        return found
    numbers = {Fraction(number) for number in re.findall(r"(?<![\d.])\d+(?![\d.])", before)}
    first = [one for one in operations_on(state.equation) if one != told and linear(one.operand).constant in numbers]
    if not first:
        return found
    acts = (*found.acts[:at], Describe((*first, told)), *found.acts[at + 1 :])  # type: ignore[operator]  # a place
    return replace(found, acts=acts)


def _with_learned_topic(state: State, turn: SeenTurn, acts: tuple[Act, ...]) -> tuple[Act, ...]:
    """A question of which nothing more is known, as what its words ask about: where none was parted from the turn."""
    bare = next((act for act in acts if isinstance(act, Ask) and act.what in BARE and not act.about), None)
    learned = asked_beside(state, turn, "any") if bare is not None else ()
    return tuple(_ask(learned[0].topic) if learned and act is bare else act for act in acts)


def _ask(about: str) -> Ask:
    return Ask("meaning", about.removeprefix(GLOSSARY)) if about.startswith(GLOSSARY) else Ask("check", about)


def _number_not_taken_off(state: State, text: str, found: Interpretation) -> Interpretation:
    """ "-14", asked for a move: 14 taken off, or the answer? The answer, where it solves the line and the move does not
    help; it is only put in."""
    match found.acts:
        case (Move("subtract", _, "unsaid") as move,) if state.phase in ASKING:
            number = certain_acts(text, "value", state.letter) or ()
            answer = state.equation.solution().value
            negative = answer is not None and answer < 0 and number == (Value(Negative(move.operand)),)
            if (
                negative
                and linear(move.operand) == linear(constant(-(answer or 0)))
                and not judge(state.equation, move).closer
            ):
                return replace(found, acts=number, sure=True, rivals=())
    return found


def _of_both_sides(state: State, text: str, found: Interpretation) -> Interpretation:
    """While an answer is put in: the number that was said of both sides, as the value of each."""
    number = said_of_both(text, state.letter) if state.phase in CHECKING else None
    if number is None and state.phase in CHECKING and state.guess is not None:  # "99 both sides, told you its 7"
        number = said_of_both(re.sub(rf"(?<![\d.-]){state.guess}(?![\d./])", " ", text), state.letter)
    if number is None:
        return found
    other = [act.value for act in found.acts if isinstance(act, Value) and act.value != constant(number)]
    if number == state.guess and other:  # the answer named again, and another number told
        return found
    told = [act for act in found.acts if isinstance(act, Value | Unclear | PartMove) or _is_sum(act)]
    told += [act for act in found.acts if isinstance(act, Move) and act.operand == constant(-number)]  # "-4 both sides"
    rest = [act for act in found.acts if act not in told]
    if not all(isinstance(act, (*TALK, Work, Say, Control)) for act in rest):
        return found
    guessed = any(isinstance(act, Control) for act in rest) and not found.sure
    both = (Value(constant(number), "left"), Value(constant(number), "right"))
    return replace(found, acts=(*both, *rest), sure=True, rivals=(), guessed=guessed)


def _put_right(state: State, text: str, found: Interpretation) -> Interpretation:
    """While an answer is put in, "not 2. 5/2": the number said in its place is the answer, and what else was said is of
    that one."""
    if state.guess is None or state.phase not in CHECKING:
        return found
    sides = state.task.equation.sides()
    said = next((said for pattern in INSTEAD if (said := pattern.search(text.lower()))), None)
    number = None if said is None else _number(said.group("new"))
    if said is None or number is None or number in {state.guess, *(value_at(one, state.guess) for one in sides)}:
        return found
    old = said.groupdict().get("old")
    if (old and _number(old) != state.guess) or not CORRECTS.search(text.lower()):
        return found
    read = certain_acts(f"{state.letter} = {said.group('new')}", "equation", state.letter) or ()
    told = [act for act in found.acts if isinstance(act, (*TALK, Work)) or (isinstance(act, Value) and act.side)]
    return replace(found, acts=(*read, *told), sure=True, rivals=()) if read else found


def _number(text: str) -> Fraction | None:
    """None where it is divided by 0."""
    try:
        return Fraction(text)
    except ZeroDivisionError:
        return None


def with_both_sides(state: State, text: str, found: Interpretation) -> Interpretation:
    """An answer with what the sides come to with it, where right sums of the text, with the answer or what a term comes
    to in them, or a number said of both sides, tell of each that holds the unknown: its check, however much of it was
    read."""
    at = next(
        (place for place, act in enumerate(found.acts) if isinstance(act, Line) and answer_said(act) is not None), None
    )
    if not found.sure or at is None or (guess := answer_said(found.acts[at])) is None:
        return found
    sides = state.task.equation.sides()
    terms = [term.body for side in sides if isinstance(side, Sum) for term in side.terms if has_unknown(term.body)]
    told_of = {guess, *(value_at(term, guess) for term in terms)}
    sums = [one.result for one in running_sums(text, state.letter) if one.is_right and told_of & set(one.numbers)]
    of_both = said_of_both(re.split(rf"\b{state.letter} *(?:=|is) *{ONE}", text.lower())[-1], state.letter)
    due = [value_at(side, guess) for side in sides]
    of_both = None if of_both == guess not in due else of_both  # "26 and 26 and 26 is 78" adds it up
    told = [number in sums or number == of_both for side, number in zip(sides, due, strict=True) if has_unknown(side)]
    if not all(told) or (of_both is not None and due != [of_both, of_both]):
        return found
    read = found.acts[at + 1 :]
    rest = [act for act in read if not isinstance(act, Value | Work)]
    both = (Value(constant(due[0]), "left"), Value(constant(due[1]), "right"))
    return replace(found, acts=(*found.acts[: at + 1], *both, *rest))


def _without_nothing_left(text: str, found: Interpretation) -> Interpretation:
    """The nought that is left where two terms cancel is no answer ("is it zero cos they cancel")."""
    if CANCELS.search(text.lower()) is None:
        return found
    kept = tuple(act for act in found.acts if not (isinstance(act, Value) and act.value == constant(Fraction(0))))
    return replace(found, acts=kept or (Comment("notice"),))


def _is_sum(act: Act) -> bool:
    """Whether it is a right sum, or a line of numbers alone."""
    if isinstance(act, Work):
        return linear(act.left) == linear(act.right)
    return isinstance(act, Line) and not any(map(has_unknown, act.equation.sides()))


def _on_one_side(state: State, text: str, found: Interpretation) -> Interpretation:
    """A move said of one side alone is a move on that side, and never one on both; it is sure enough, for it is only
    asked about."""
    at = next((place for place, act in enumerate(found.acts) if isinstance(act, Move)), None)
    named = one_side(text, state.letter) if at is not None else None
    if at is not None and named is None and state.phase in ASKING:
        return _on_side_named(state, text, found, at)
    if at is None or named is None:
        return found
    move = found.acts[at]
    if not isinstance(move, Move) or move.operation == "transfer":
        return found
    left, right = state.equation.sides()
    own: Sides = "left" if has_unknown(left) else "right"
    other = right if own == "left" else left
    if named.side in {"unknown", "some"} and has_unknown(other):
        return found
    if named.stays is not None and linear(other).constant != named.stays:
        return found  # a part of a side that stays: the side is not what it should be, and both are spoken of
    if not has_unknown(other) and _is_of_both(text, move, Fraction(linear(other).constant)):
        return replace(found, acts=(*found.acts[:at], replace(move, sides="both"), *found.acts[at + 1 :]), sure=True)
    sides = named.side if named.side in {"left", "right"} else own
    rest = (act for act in found.acts[at + 1 :] if not isinstance(act, Value | Refused))
    return replace(found, acts=(*found.acts[:at], replace(move, sides=sides), *rest), sure=True, rivals=())


def _on_side_named(state: State, text: str, found: Interpretation, at: int) -> Interpretation:
    """A move with no word about sides but the one side that it is said to be on: a move on that side."""
    move, side = found.acts[at], side_named(state, in_lower_case(text))
    alone = all(not isinstance(act, Line | Value | Move) for act in found.acts if act is not move)
    if side is None or not alone or not isinstance(move, Move) or move.sides != "unsaid":
        return found
    return replace(found, acts=tuple(replace(move, sides=side) if act is move else act for act in found.acts))


def _is_of_both(text: str, move: Move, other: Fraction) -> bool:
    """Whether the number of a move is said again of the number on the other side ("14 off n, 14 off the 37")."""
    if has_unknown(move.operand):
        return False
    again = rf"\b{linear(move.operand).constant}\s+(?:off|from|of|on|to)\s+(?:\w+\s+)?{other}\b"
    return re.search(again, text.lower()) is not None


def question_alone(found: Interpretation) -> Interpretation:
    """Where a question of its own stands beside what is not sure, the question: it gets its answer first."""
    asked = [act for act in found.acts if isinstance(act, Ask) and has_answer(act.about)]
    if found.sure or not asked:
        return found
    return replace(found, acts=tuple(act for act in found.acts if isinstance(act, TALK)), sure=True)


def acts_of(part: Parted) -> tuple[Act, ...]:
    """What was plainly asked, believed or wished for, as acts."""
    asked = tuple(
        Ask("meaning", about.removeprefix(GLOSSARY)) if about.startswith(GLOSSARY) else Ask("check", about)
        for about in part.asked
    )
    if part.wish == "game":
        return (*asked, Ask("game"))
    if part.wish == "stop":
        return (*asked, Control("stop"))
    if not part.wish:
        return asked
    return (*asked, Control("easier" if part.wish == "easier" else "harder", part.kind, part.now))


def with_asked_beside(found: Interpretation | None, part: Parted) -> Interpretation:
    """What was understood of the rest, with what was plainly asked, believed or wished for after it."""
    beside = acts_of(part)
    acts = tuple(act for act in found.acts if not isinstance(act, Unclear)) if found is not None else ()
    if any(map(is_conjecture, part.asked)):  # "does it mean something else?" beside it is the same question
        acts = tuple(act for act in acts if act != Ask("meaning") and not (isinstance(act, Ask) and act.about == "sum"))
    if found is not None and part.wish == "stop":
        found = replace(found, guessed=False)  # a goodbye is plain, whatever stands beside it
    if found is None or all(isinstance(act, Comment) for act in acts):
        return Interpretation((*acts, *beside), sure=True)
    rivals = tuple((*rival, *beside) for rival in found.rivals)
    return replace(found, acts=(*acts, *beside), rivals=rivals)


def in_decimals(acts: Sequence[Act]) -> bool:
    """Whether a number was written as a decimal."""
    written = (act.value for act in acts if isinstance(act, Value | Try))
    lines = (side for act in acts if isinstance(act, Line) for side in act.equation.sides())
    return any("." in piece.written for said in (*written, *lines) for piece in walk(said) if isinstance(piece, Number))


def written_as(text: str) -> tuple[bool, bool]:
    """Whether somebody writes decimals ("1.5"), and whether mixed numbers ("4 1/2", "4 and a half")."""
    return DECIMAL.search(with_points(text)) is not None, MIXED.search(text.lower()) is not None


def chosen_move(state: State, text: str) -> Move | None:
    """The move of the two that the tutor just named, where what is said fits one of them alone; None where it fits
    both or neither, or no two were named."""
    two = _two(state)
    if not two:
        return None
    words = LETTERS.findall(text.lower())
    kinds = [set(LETTERS.findall(as_read_back(move).lower())) for move in two]
    apart = [kinds[0] - kinds[1], kinds[1] - kinds[0]]
    fits = [_names(words, apart[place]) or bool(set(ORDINALS[place]) & set(words)) for place in (0, 1)]
    return two[fits.index(True)] if fits.count(True) == 1 else None


def picked_out(state: State, part: PartMove) -> Move | None:
    """The one of the two by its operation alone ("off?")."""
    fits = [move for move in _two(state) if move.operation == part.operation and part.operand is None]
    return fits[0] if len(fits) == 1 else None


def _two(state: State) -> list[Move]:
    """The moves that were just named, in the order of the question; none where none were."""
    step = next_step(state.equation)
    if state.phase != "move" or not state.last or state.last[-1].key != "choices move" or not isinstance(step, Move):
        return []
    two = [Move(step.operation, step.operand, "both"), Move(INVERSE[step.operation], step.operand, "both")]
    return sorted(two, key=lambda move: state.last[-1].text.find(as_read_back(move)))


def _names(said: Sequence[str], words: set[str]) -> bool:
    return any(one == word or (len(one) >= LEAST and word.startswith(one)) for one in said for word in words)
