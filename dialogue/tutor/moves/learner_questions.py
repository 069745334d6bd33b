"""What a learner asks gets its answer first, in one sentence; the tutor's own question follows.

What was asked comes from the understanding (``Ask.about``); which answer it gets is decided by where the lesson stands,
and the words are wordings ("answer ..."). An answer tells how things are, never the next step.
"""

from collections.abc import Callable
from fractions import Fraction

from dialogue.acts import Ask
from dialogue.algebra.equation import Equation
from dialogue.algebra.linear import linear
from dialogue.algebra.moves import INVERSE, Move
from dialogue.algebra.operations import operations_on
from dialogue.algebra.solver import value_at
from dialogue.algebra.tree import Sum, Unknown, constant, has_unknown, scaled
from dialogue.tutor.core.events import Event, Outcome
from dialogue.tutor.core.line_in_hand import put_in
from dialogue.tutor.core.mistakes import PICTURE, last_error, question_on
from dialogue.tutor.core.questions import due_line
from dialogue.tutor.core.state import CHECKING, SOLVING, WORKING, State
from dialogue.tutor.core.told import told_least
from dialogue.tutor.moves.checking import right_checked
from dialogue.tutor.moves.conjectures import conjecture, is_conjecture, sign_changes, told_apart
from dialogue.tutor.moves.earlier_equations import fitted_the_one_before, is_of_earlier, of_earlier
from dialogue.tutor.moves.feelings import own_work
from dialogue.tutor.moves.of_factors import added_inside, as_lots, of_pending, of_product, off_a_factor, product_on
from dialogue.tutor.moves.of_the_working import OF_WORKING, is_of_the_working, of_the_working, rest
from dialogue.tutor.moves.showing import another_view, easy_number, shown_again
from dialogue.tutor.moves.what_if import what_if
from dialogue.verbalising.replies import variants, word
from dialogue.verbalising.sayings import Filling, Saying

WHAT_IF = "try: "  # before a move that is only asked about
Respond = Callable[[State], Saying]


def answer_to(state: State, event: Event) -> Saying | None:
    """The answer to a question of its own kind; None where the question is a plain one of its act."""
    about = event.act.about if isinstance(event.act, Ask) else ""
    if about == "both sides" and isinstance(event.act, Ask) and event.act.what == "check":
        return _did_both(state)
    if is_conjecture(about):
        return conjecture(state, about)
    if about.startswith(WHAT_IF):
        return what_if(state, about.removeprefix(WHAT_IF))
    if is_of_earlier(about):
        return of_earlier(state, about)
    if is_of_the_working(about):
        return of_the_working(state, about)
    if about not in ANSWERS:
        return None
    found = ANSWERS[about](state)
    return Saying("answer missed") if about not in OF_MINE and _was_just_told(state, found) else found


def _was_just_told(state: State, answer: Saying) -> bool:
    """Whether all that can be said of a question was said in the turns just before it was asked again."""
    if not answer.key.startswith("answer "):
        return False
    named: dict[str, Filling] = {"unknown": state.letter, "guess": state.guess or Fraction(0)}
    whole = Saying(answer.key, {**named, **answer.values})
    ways = {word(whole, way, state.plan.classroom).text for way in range(variants(answer.key))}
    return ways <= {text for turn in state.said for text in turn}


def fits_here(state: State, about: str) -> bool:
    """Whether a question makes sense of the equation in hand: nothing is said of a bracket that is not there."""
    fits = FITS.get(about)
    return fits is None or fits(state.task.equation)


def has_answer(about: str) -> bool:
    """Whether there is an answer to a question about this."""
    named = is_conjecture(about) or is_of_earlier(about) or is_of_the_working(about)
    return named or about in ANSWERS or about.startswith(WHAT_IF)


def is_it_right(state: State) -> Outcome:
    """Whether what was done last is right: of an answer being put in both sides say so, and the check is over."""
    if state.phase in CHECKING and state.guess is not None:
        return right_checked(state, Event("check", Ask("check")))
    return state, (_right_so_far(state),)


def _right_so_far(state: State) -> Saying:
    if state.phase == "account" and state.inquiry is not None and state.inquiry.guess and state.tried:
        return Saying("answer account", {"guess": state.tried[-1]})
    if (shown := shown_again(state)) is not None:
        return another_view(state, shown)
    if state.phase == "reconsider" and (due := due_line(state)) is not None:
        return of_pending(state) or Saying("it gives", {"line": due})
    if isinstance(state.pending, Move) and state.phase in WORKING:
        return Saying("answer right move", {"move": state.pending})
    if len(state.board) > 1:
        return Saying("right so far", {"lines": len(state.board)})
    return right_last(state) or Saying("how to check", {"unknown": state.letter})


def right_last(state: State) -> Saying | None:
    """Why the answer to the equation before was right, for who asks before anything is done on the next."""
    begun = len(state.board) > 1 or state.pending is not None or state.tries or state.tried
    if begun or state.place - 1 not in state.solved:
        return None
    before = state.plan.tasks[state.place - 1].equation
    answer = before.solution().value
    side = before.side_with_unknown()
    if answer is None or answer.denominator != 1:
        return None
    value = constant(value_at(side, answer))
    return Saying("answer right last", {"sum": put_in(side, answer), "value": value})


def why_done(state: State) -> Saying:
    """Why what was just done was done: what it undid, where it undid something; before there is a step, why both sides
    are spoken of. Asked again, in another way."""
    on_board = state.board[-1].note
    done, before = (state.pending, state.equation) if state.pending else (on_board, state.board[-2:][0].equation)
    ways = (_both_sides(state), Saying("why both, shown"), Saying("why both, pans", _sides(state)))
    if state.phase in {"operations", "first"}:
        return told_least(state, Saying("why operations", _sides(state)), *ways)
    if not isinstance(done, Move) or done.operation == "transfer":
        return told_least(state, *ways, Saying("why inverse", {"unknown": state.letter}))
    values: dict[str, Filling] = {"move": done, "by": done.operand, "unknown": state.letter}
    undone = {(one.action, linear(one.operand)) for one in operations_on(before)}
    if (INVERSE[done.operation], linear(done.operand)) in undone:
        return told_least(state, Saying(f"why {done.operation}", values), *ways)
    return told_least(state, Saying("why gathered" if has_unknown(done.operand) else "why level", values), *ways)


def _sides(state: State) -> dict[str, Filling]:
    left, right = state.equation.sides()
    return {"left": left, "right": right, "unknown": state.letter}


def _both_sides(state: State) -> Saying:
    return Saying("answer both sides", _sides(state))


def _did_both(state: State) -> Saying:
    """ "Did I do both sides?": yes, where the last step was a move on both; else why it has to be."""
    done = state.pending or state.board[-1].note
    return Saying("answer did both", {"move": done}) if isinstance(done, Move) else _both_sides(state)


def _how_long(state: State) -> Saying:
    left = len(state.plan.tasks) - state.place - 1
    open_ended = state.plan.open or state.plan.beyond == "on"
    return Saying("answer how long") if open_ended or left < 1 else Saying("answer how many", {"lines": left})


def _why_not_off(state: State) -> Saying:
    """Why a number is not simply taken off: of a factor alone with the unknown what that leaves; else what is undone
    first."""
    found = product_on(state, bracket=False)
    side = state.equation.side_with_unknown()
    move = None if found is None or found[0] != side else off_a_factor(state, Move("subtract", found[1]))
    return move or _order(state)


def _nothing_done(state: State) -> Saying:
    """Nothing was done to the other side, it was said, where that was asked: the picture of it."""
    error = last_error(state)
    return _both_sides(state) if error is None else question_on(state, error, met=PICTURE)


def _swapped(state: State) -> Saying:
    return Saying("answer swapped", {"line": state.equation, "other": state.equation.swapped()})


def _sum(state: State) -> Saying:
    if (shown := shown_again(state)) is not None:
        return shown
    return Saying("answer sum wrong" if state.tries else "answer sum right")


def _allowed(state: State) -> Saying:
    if isinstance(state.pending, Move) and state.phase in WORKING:
        return Saying("answer right move", {"move": state.pending})
    return Saying("answer allowed line" if len(state.board) > 1 else "answer allowed")


def _checking(state: State) -> Saying:
    return Saying("why check" if state.phase in CHECKING or state.solved else "how to check", {"unknown": state.letter})


def _protest(state: State) -> Saying:
    """Of checks that are not wanted: they are done for the learner from now on, but not of what does not fit."""
    wrong = state.phase in CHECKING and state.guess != state.task.equation.solution().value
    return Saying("why check" if wrong else "answer protest")


def _winning(state: State) -> Saying:
    count, own = len(state.solved), own_work(state)
    if not count and own:
        return told_least(state, *own)
    return Saying("answer winning", {"lines": count}) if count else Saying("answer winning first")


def _undoes(operations: frozenset[str], key: str) -> Respond:
    """Why one operation undoes another, with the numbers of the last such move made; before there is one, with others,
    for the move is the learner's to find."""

    def respond(state: State) -> Saying:
        made = [state.pending, *state.further, *(line.note for line in reversed(state.board))]
        moves = (one for one in made if isinstance(one, Move) and one.operation in operations)
        number = next((one.operand for one in moves if not has_unknown(one.operand)), None)
        return Saying(f"{key}, any") if number is None else Saying(key, {"by": number})

    return respond


def _same_cancels(state: State) -> Saying:
    """What doing the same again comes to: twice as much, nothing undone; of negative numbers, what two minuses do."""
    if any(side.coefficient < 0 for side in state.equation.linear()):
        return Saying("answer two minuses", {"unknown": state.letter})
    for done in reversed(operations_on(state.equation)):
        if done.action in {"add", "subtract"} and not has_unknown(done.operand):
            twice = constant(2 * Fraction(linear(done.operand).constant))
            added = "added" if done.action == "add" else "taken"
            return Saying(f"answer same {added}", {"by": done.operand, "all": twice})
    return Saying("answer same, any")


def _order(state: State) -> Saying:
    return Saying("answer order" if len(state.board) > 1 or state.solved else "answer order, first")


def _inside_first(state: State) -> Saying:
    """Why not first what stands inside a bracket."""
    bracket = product_on(state, bracket=True)
    inside = None if bracket is None else added_inside(bracket[0])
    if bracket is None or inside is None:
        return _order(state)
    return Saying("answer order, bracket", {"one": inside, "by": bracket[1]})


def _guessing(state: State) -> Saying:
    side = state.equation.side_with_unknown()
    return Saying("answer guessing", {"sum": side})


def _plain(key: str) -> Respond:
    """The same answer wherever the lesson stands."""
    return lambda state: Saying(f"answer {key}", {"unknown": state.letter})


def _unlike(state: State) -> Saying:
    """Why lots of the unknown and a plain number do not go together; tried on the newest line that has both."""
    for line in reversed(state.board):
        for side in line.equation.sides():
            told = linear(side)
            if isinstance(side, Sum) and told.coefficient and told.constant and told.coefficient + told.constant:
                together = scaled(told.coefficient + told.constant, Unknown(state.letter))
                return told_apart(state, side, together)
    return Saying("answer unlike", {"unknown": state.letter})


def _trial(state: State) -> Saying:
    """Why that number; where none was tried, and the lesson went on, why it did."""
    if state.phase in CHECKING and state.guess is not None:
        return Saying("answer put in", {"guess": state.guess})
    went_on = any(reply.key in {"noted wrong", "for later"} for reply in state.last)
    return Saying("answer skipped" if went_on else "why a trial")


def _my_question(state: State) -> Saying:
    """The tutor's own question, taken up: said another way; one about an error in the numbers of the line."""
    of_error = bool(state.last) and state.last[-1].key == "error"
    means = as_lots(state) if of_error and of_pending(state) is not None else None
    if means is not None:
        return means
    return in_other_words(state) or Saying("answer my words")


def in_other_words(state: State) -> Saying | None:
    """The question in hand said another way; None of one that has no other."""
    if state.phase not in {*SOLVING, "count", "account", "reason"}:
        return None
    side = state.equation.side_with_unknown()
    values: dict[str, Filling] = {**_sides(state), "trial": easy_number(state.equation, side)}
    return Saying(f"in other words {state.phase}", values)


def _still(state: State) -> Saying:
    """The answer that is being put in, asked about: whether it fits is for the sides to say."""
    return Saying("how to check" if state.guess is None else "answer still", {"unknown": state.letter})


def _has_bracket(line: Equation) -> bool:
    return "(" in line.text()


OF_MINE = frozenset({"nothing done", "my question", "my words", "my mistake"})
FITS: dict[str, Callable[[Equation], bool]] = {
    "which unknown": lambda line: all(map(has_unknown, line.sides())),
    "two unknowns": lambda line: all(map(has_unknown, line.sides())),
    "other way": _has_bracket,
    "bracket first": _has_bracket,
    "bracket all": _has_bracket,
    "two minuses": lambda line: "-" in line.text(),
}


ANSWERS: dict[str, Respond] = {
    "my question": _my_question,
    "inside first": _inside_first,
    "why not off": _why_not_off,
    "because": lambda state: rest(state) if rest(state).key == "answer only written" else why_done(state),
    "both right": lambda state: Saying("compared" if state.phase == "compare" else "answer both right"),
    "nothing done": _nothing_done,
    "my words": _plain("my words"),
    "my mistake": lambda state: Saying("sorry, misread"),
    "sign left out": of_product("answer sign left out"),
    "opposite named": _plain("opposite named"),
    "minus or negative": _plain("minus or negative"),
    "decimal comma": _plain("decimal comma"),
    "from unknown": _plain("from unknown"),
    "unknown stays": _plain("unknown stays"),
    "passing": _plain("passing"),
    "passing, yes": _plain("passing, yes"),
    "sides meant": lambda state: Saying("answer sides meant", _sides(state)),
    "still": _still,
    "one before": fitted_the_one_before,
    "coming": _plain("coming"),
    "asking": _plain("asking"),
    "trial": _trial,
    "kinds": _plain("kinds"),
    "two unknowns": _plain("two unknowns"),
    "how long": _how_long,
    "other form": _plain("other form"),
    "remainder": _plain("remainder"),
    "calculator": _plain("calculator"),
    "letter": _plain("same letter"),
    "protest": _protest,
    "unwanted": lambda state: Saying("no check"),
    "both sides": _both_sides,
    **OF_WORKING,
    "fraction": _plain("fraction"),
    "negative": _plain("negative"),
    "swapped": _swapped,
    "sum": _sum,
    "allowed": _allowed,
    "checking": _checking,
    "times": of_product("answer times"),
    "winning": _winning,
    "guessing": _guessing,
    "undoes": _undoes(frozenset({"add", "subtract"}), "answer undoes"),
    "undoes times": _undoes(frozenset({"multiply", "divide"}), "answer undoes times"),
    "same cancels": _same_cancels,
    "off a factor": of_product("answer off a factor"),
    "lots": of_product("answer lots"),
    "bracket all": of_product("answer bracket all", bracket=True),
    "bracket all, yes": of_product("answer bracket all, yes", bracket=True),
    "same letter": _plain("same letter"),
    "order": _order,
    "order free": _plain("order free"),
    "first is first": _plain("first is first"),
    "it works": why_done,
    "any number added": _plain("any number"),
    "how to say": _plain("how to say"),
    "how to check": _plain("how to check"),
    "open": _plain("open"),
    "sign changes": sign_changes,
    "other way": _plain("other way"),
    "walked back": _plain("walked back"),
    "other side too": _both_sides,
    "fraction line": _plain("fraction line"),
    "all at once": _plain("all at once"),
    "skipped": _plain("skipped"),
    "game": _plain("game"),
    "moving": _plain("moving"),
    "decimal": _plain("decimal"),
    "zero": _plain("zero"),
    "two minuses": _plain("two minuses"),
    "signs alike": _plain("signs alike"),
    "solutions": _plain("solutions"),
    "unlike": _unlike,
    "bracket first": _plain("bracket first"),
    "name": _plain("name"),
    "taught otherwise": _plain("taught"),
    "alone": _plain("alone"),
    "slow": _plain("slow"),
    "numbers": _plain("numbers"),
    "marks": _plain("marks"),
    "privacy": _plain("privacy"),
    "saved": _plain("saved"),
    "change": _plain("change"),
    "own way": _plain("own way"),
    "who": _plain("who"),
    "chat": _plain("chat"),
    "likeness": _plain("likeness"),
    "which unknown": _plain("which unknown"),
    "gone": _plain("gone"),
    "exam": _plain("exam"),
}  # fmt: skip
