"""What the table's effects do when the learner describes, comments, asks, answers yes or no, or gives a command."""

from dataclasses import replace
from typing import cast

from dialogue.acts import Ask, Comment, Control, Refused, Say, Work
from dialogue.algebra.moves import Move
from dialogue.algebra.solver import value_at
from dialogue.algebra.tree import has_unknown
from dialogue.learner.history import Wish
from dialogue.tutor.activities.compare_routes import compared
from dialogue.tutor.activities.reasons import heard_reason
from dialogue.tutor.core.course import promise, wish_of
from dialogue.tutor.core.events import Event, Outcome, PartGiven, Valued
from dialogue.tutor.core.line_in_hand import put_in
from dialogue.tutor.core.questions import back_to_work, cleared, go_on_to
from dialogue.tutor.core.state import CHECKING, WORKING, State
from dialogue.tutor.moves.checking import came_to, not_taken_up, right_checked
from dialogue.tutor.moves.conjectures import rule_here
from dialogue.tutor.moves.feelings import apology, feeling
from dialogue.tutor.moves.hints import choices_again, is_next, one_rung_down, sum_in_hand
from dialogue.tutor.moves.learner_questions import (
    answer_to,
    in_other_words,
    is_it_right,
    right_last,
    why_done,
)
from dialogue.tutor.moves.of_factors import of_pending, off_a_factor, why_it_failed
from dialogue.tutor.moves.showing import another_view, shown_again
from dialogue.tutor.moves.solving import look_at_it, what_it_gives
from dialogue.understanding.question_topics import UNWANTED
from dialogue.verbalising.sayings import Filling, Saying

GRAVE = frozenset({"loss", "loss of a pet", "sad"})  # moods after which it is asked whether to stop


def name_the_move(state: State, event: Valued) -> Outcome:
    """A term or expression where a move was asked for: it is what the move is about."""
    return replace(state, topic=event.value), (Saying("name the move", {"term": event.value}),)


def whole_line(state: State, event: Valued) -> Outcome:
    """One value where the whole line was asked for."""
    return state, (Saying("whole line"),)


def ask_part(state: State, event: PartGiven) -> Outcome:
    """A move of which something is unsaid: that alone is asked for."""
    part = event.part
    if part.operation is None and part.operand is None:
        return replace(back_to_work(state), part=None), (Saying("both of what"),)
    return replace(state, phase="part", part=part), ()


# -- talk that is heard and never judged ------------------------------------------------------------------------------


def beside_a_move(state: State, event: Event) -> Outcome:
    """Talk about a move that is thought over: a mood is heard, and of all else the line it gives can be looked at."""
    act = event.act
    if isinstance(act, Comment) and act.kind not in {"feel", "aside", "goal"}:
        joined = of_pending(state)
        return look_at_it(state, event) if joined is None else (state, (joined,))
    return comment(state, event)


def comment(state: State, event: Event) -> Outcome:
    """Something said that is no step: heard, and the question stands."""
    act = event.act
    if act == Say("no"):  # to a question that was asked about a line
        return state, (Saying("heard object", {"line": state.equation}),)
    if not isinstance(act, Comment) or act.kind == "reason":
        return not_taken_up(state, event) or (state, ())
    if act.kind == "feel" and act.about in GRAVE and not state.count("offered to stop"):
        state = state.counted("offered to stop")
        return replace(state, back=state.phase, phase="offer stop"), (feeling(state, act),)
    if act.kind == "feel":
        smaller = act.about in {"upset", "bad test", "laughed at"}
        return _with_smaller(state, feeling(state, act)) if smaller else (state, (feeling(state, act),))
    if act.kind == "object" and act.about == "not heard":
        return state, (apology(state),)
    if act.kind == "object" and (shown := shown_again(state)) is not None:
        return state, (shown,)
    if act.kind in {"object", "notice"} and (below := _goes_below_zero(state)) is not None:
        return state, (below,)
    if act.kind in {"object", "notice"} and (put_in := not_taken_up(state, event)) is not None:
        return put_in
    if act.kind == "object" and state.phase in WORKING:
        again = sum_in_hand(state)  # what is being worked out is asked in other words
        return state, () if again is None else (again,)
    if act.kind == "notice":
        return state, ()
    rule = rule_here(state, state) if act.kind == "rule" else None
    return state, (rule or Saying(f"heard {act.kind}", {"unknown": state.letter}),)


def _goes_below_zero(state: State) -> Saying | None:
    """While an answer is put in that makes a side go below zero, where the other is a number that does not."""
    if state.phase not in CHECKING or state.guess is None:
        return None
    sides = state.task.equation.sides()
    held, other = sides if state.phase == "check left" else sides[::-1]
    if has_unknown(other) or value_at(held, state.guess) >= 0 or value_at(other, state.guess) < 0:
        return None
    return Saying("heard below zero", {"sum": put_in(held, state.guess), "value": other})


def _with_smaller(state: State, said: Saying) -> Outcome:
    """The sentence, and a smaller step, once."""
    if state.phase not in {"operations", "first", "move"} or state.rung:
        return state, (said,)
    state, more = one_rung_down(state)
    return state, (said, *more)


def sum_right(state: State, event: Event) -> Outcome:
    """A sum done aloud, and it is right: said, for it is support and no step."""
    if isinstance(event.act, Work):
        return state, (Saying("sum right", {"left": event.act.left, "right": event.act.right}),)
    return state, ()


def sum_wrong(state: State, event: Event) -> Outcome:
    """A sum done aloud that does not come out: it is asked for again, and is no step."""
    if isinstance(event.act, Work):
        return state, (Saying("sum wrong", {"sum": event.act.left}),)
    return state, ()


def refused(state: State, event: Event) -> Outcome:
    """What was refused is not done, whatever it is."""
    if not isinstance(event.act, Refused):
        return state, ()
    match event.act.of:
        case Ask("hint" | "answer" | "example"):
            return state, (Saying("not asked"),)
        case Control("stop" | "skip" | "pause"):
            return state, (Saying("go on"),)
        case Move(operation) if isinstance(state.pending, Move) and state.pending.operation == operation:
            return back_to_work(state), (Saying("taken back"),)
    return state, (Saying("not that"),)


def leave_question(state: State, event: Event) -> Outcome:
    """Something refused or said where yes or no was asked: the phase that was left."""
    return replace(state, phase=state.back, held=(), rivals=()), (Saying("go on"),)


def go_on(state: State, event: Event) -> Outcome:
    """Back to where the learner was."""
    return replace(state, phase=state.back, held=(), rivals=()), (Saying("go on"),)


def level_yes(state: State, event: Event) -> Outcome:
    """A yes where a tilted balance is to be made level: what tilted it, and the question."""
    return state, () if state.asked_of_other else (Saying("level yes"),)


def level_no(state: State, event: Event) -> Outcome:
    """A no where a tilted balance is to be made level: the question again."""
    return state, () if state.asked_of_other else (Saying("level no"),)


def which_count(state: State, event: Event) -> Outcome:
    """A yes or no where none or every number was asked for."""
    return state, (Saying("which count"),)


def more_than_yes(state: State, event: Event) -> Outcome:
    """A yes or no where a step was asked for; where two were named, the two again."""
    if state.phase in CHECKING and event.kind == "no" and state.last and state.last[-1].key == "heard below zero":
        return right_checked(state, event)
    if event.kind == "no" and (put_in := not_taken_up(state, event)) is not None:
        return put_in
    two = choices_again(state)
    return state, (Saying("more than yes") if two is None else two,)


def why(state: State, event: Event) -> Outcome:
    """Why a line did not follow, why the check, or why what was just done was done."""
    if (said := answer_to(state, event)) is not None:
        return state, (said,)
    if (shown := shown_again(state)) is not None:
        return state, (another_view(state, shown),)
    if state.phase in {"operations", "first", "move"} and (failed := why_it_failed(state)) is not None:
        return state, (failed,)
    if state.phase == "account" and state.tried:
        return state, (came_to(state, state.tried[-1]),)
    if state.phase == "reconsider" and isinstance(state.pending, Move) and not is_next(state, state.pending):
        return state, (off_a_factor(state, state.pending) or what_it_gives(state, "look what it gives"),)
    if state.phase.startswith("check"):
        return state, (Saying("why check"),)
    return state, (right_last(state) or why_done(state),)


def how_to_check(state: State, event: Event) -> Outcome:
    """Whether it is right so far, and how an answer is checked; a check that is not wanted the tutor does."""
    if event.act == Ask("check", UNWANTED) and state.phase in CHECKING:
        return is_it_right(state)
    said = answer_to(state, event)
    return is_it_right(state) if said is None else (state, (said,))


def asked_for_reason(state: State, event: Event) -> Outcome:
    """A question where a reason is asked for is no reason, and is answered; the step is judged then."""
    after, said = heard_reason(state, event)
    answer = answer_to(state, event)
    return after, said if answer is None else (answer,)


def asked_of_routes(state: State, event: Event) -> Outcome:
    """A question beside two routes that are compared: answered, and the two still stand; else whatever was found."""
    said = answer_to(state, event)
    return compared(state, event) if said is None else (state, (said,))


def meaning(state: State, event: Event) -> Outcome:
    """A word of the glossary, or the question in hand said another way."""
    if (said := answer_to(state, event)) is not None:
        return state, (said,)
    if isinstance(event.act, Ask) and event.act.about:
        return state, (Saying("glossary", {"entry": event.act.about, "unknown": state.letter}),)
    return state, (in_other_words(state) or Saying("answer my words"),)


def progress(state: State, event: Event) -> Outcome:
    """How far the equation has come."""
    if (said := answer_to(state, event)) is not None:
        return state, (said,)
    if len(state.board) == 1:
        return state, (Saying("progress first", {"line": state.equation}),)
    values: dict[str, Filling] = {"first": state.task.equation, "lines": len(state.board), "line": state.equation}
    return state, (Saying("progress", values),)


def repeat(state: State, event: Event) -> Outcome:
    """Verbatim the first time, in other words the second: the session reads ``repeats``."""
    return replace(state, repeats=state.repeats + 1), ()


def slower(state: State, event: Event) -> Outcome:
    """The question again, slower."""
    return state, (Saying("slower"),)


def what_to_say(state: State, event: Event) -> Outcome:
    """What can be said here."""
    return state, (Saying("what to say"),)


def skip(state: State, event: Event) -> Outcome:
    """This equation is left for another day; where a right answer waits to be put in, "next" is no more than that."""
    if state.phase in CHECKING and state.guess == state.task.equation.solution().value:
        return right_checked(state, event)
    said = Saying("skip", {"first": state.task.equation})
    return go_on_to(state, state.place + 1), (said,)


def another_kind(state: State, event: Event) -> Outcome:
    """Another kind, as the learner wishes: once the equation under way is done; at once where nothing was done on it,
    or where it is asked for instead or again, or is to be easier."""
    wish = wish_of(event.act)
    if not (state.plan.beyond or state.plan.open):
        if state.place + 1 >= len(state.plan.tasks):
            return state, (Saying("no other kind"),)
        return go_on_to(replace(state, wish=wish), state.place + 1), (Saying("next of the set"),)
    if isinstance(event.act, Control) and event.act.about and event.act.about == state.task.wished:
        return state, ()  # it is in hand
    begun = len(state.board) > 1 or state.pending is not None or state.guess is not None or bool(state.tried)
    again = state.wish is not None and wish in {state.wish, "harder", "different"}
    wish = cast(Wish, state.wish) if again and state.wish != "next" else wish  # "something harder" after "brackets"
    at_once = wish == "easier" or again or (isinstance(event.act, Control) and event.act.now)
    state = replace(state, wish=wish)
    if begun and not at_once:
        return state, (promise(state, wish),)
    kept = state.plan.beyond == "extra" and not begun  # it is the teacher's, and comes after the extra one
    return go_on_to(state, state.place if kept else state.place + 1), ()


def game_wished(state: State, event: Event) -> Outcome:
    """A game wished for with the end of an equation: it comes first of all."""
    return replace(state, game_next=True), ()


def wished(state: State, event: Event) -> Outcome:
    """A wish said with the end of an equation: it goes with the next choice, and is answered with it."""
    return replace(state, wish=wish_of(event.act)), ()


def lead(state: State, event: Event) -> Outcome:
    """The learner leads: nothing is asked but the next line."""
    state = replace(state, leads=True)
    return (back_to_work(state) if state.phase in {"operations", "first", "move"} else state), (Saying("you lead"),)


def stop(state: State, event: Event) -> Outcome:
    """The end of the lesson, as the learner wishes."""
    return replace(cleared(state), phase="done"), (Saying("stop"),)


def pause(state: State, event: Event) -> Outcome:
    """The lesson waits; where it was is remembered."""
    return replace(state, back=state.phase, phase="paused"), ()


def resume(state: State, event: Event) -> Outcome:
    """On from where the lesson waited."""
    return replace(state, phase=state.back), ()


def wait(state: State, event: Event) -> Outcome:
    """A pause where something is held: the tutor waits, and the question stays."""
    return state, (Saying("wait"),)


def nothing(state: State, event: Event) -> Outcome:
    """Nothing is said and nothing changes."""
    return state, ()


def ask_again(state: State, event: Event) -> Outcome:
    """An answer to a question that was not asked: the question is put again."""
    return state, ()


def tell_someone(state: State, event: Event) -> Outcome:
    """A message of distress: an adult is named, and stopping is offered; nothing held is taken up."""
    back = state.back if state.phase in {"reason", "confirm", "offer stop", "paused"} else state.phase
    state = replace(state, held=(), rivals=(), back=back, phase="offer stop")
    return state, (Saying("tell someone"),)


def are_you_there(state: State, event: Event) -> Outcome:
    """Silence: one short question."""
    return replace(state, silences=state.silences + 1), (Saying("are you there"),)


def silent(state: State, event: Event) -> Outcome:
    """First "are you there", then a smaller question, then all the time in the world (rule 23); never a failure."""
    silences = state.silences + 1
    if silences == 1:
        return are_you_there(state, event)
    if silences == 2 and state.rung == 0 and state.phase != "count":
        return one_rung_down(replace(state, silences=silences))
    return replace(state, silences=0, phase="paused", back=state.phase), ()
