"""What the table's effects do when the learner describes, asks, answers yes or no, or gives a command."""

from dataclasses import replace

from dialogue.tutor.events import Event
from dialogue.tutor.hints import hint
from dialogue.tutor.saying import (
    Filling,
    Outcome,
    Saying,
    after_operations,
    begin_task,
    cleared,
)
from dialogue.tutor.state import State

TYPE_AFTER = 3  # hearings in doubt in a row, after which typing is offered (rule 28)


def operations_right(state: State, event: Event) -> Outcome:
    state = state.counted("operations") if state.rung == 0 and state.tries == 0 else state
    return after_operations(replace(state, tries=0)), (Saying("operations right"),)


def operations_wrong(state: State, event: Event) -> Outcome:
    state = replace(state, tries=state.tries + 1)
    if state.tries > 1:
        return hint(state, event)
    return state, (Saying("operations wrong", {"unknown": state.letter}),)


def term_named(state: State, event: Event) -> Outcome:
    state = state.counted("first") if state.rung == 0 and state.tries == 0 else state
    return replace(state, rung=0, tries=0), (Saying("term named"),)


def term_unknown(state: State, event: Event) -> Outcome:
    return replace(state, tries=state.tries + 1), (Saying("term unknown"),)


def name_the_move(state: State, event: Event) -> Outcome:
    return state, (Saying("name the move"),)


def whole_line(state: State, event: Event) -> Outcome:
    return state, (Saying("whole line"),)


def heard_right(state: State, event: Event) -> Outcome:
    """Yes to a read-back: ``advance`` then hears the held meaning in the phase it was meant for."""
    return replace(state, doubts=0), ()


def heard_wrong(state: State, event: Event) -> Outcome:
    state = replace(state, held=None, doubts=state.doubts + 1)
    return state, (_ask_to_say_again(state.doubts),)


def say_digits(state: State, event: Event) -> Outcome:
    state = replace(state, doubts=state.doubts + 1)
    return state, (_ask_to_say_again(state.doubts),)


def _ask_to_say_again(doubts: int) -> Saying:
    keys = {1: "say it again", 2: "say each digit"}
    return Saying(keys.get(doubts, "type it"))


def read_back(state: State, event: Event) -> Outcome:
    assert event.meaning is not None
    back = state.phase if state.phase != "confirm" else state.back
    return replace(state, held=event.meaning, back=back), ()


def go_on(state: State, event: Event) -> Outcome:
    return replace(state, held=None), (Saying("go on"),)


def make_it_level(state: State, event: Event) -> Outcome:
    return state, (Saying("make it level"),)


def more_than_yes(state: State, event: Event) -> Outcome:
    return state, (Saying("more than yes"),)


def why(state: State, event: Event) -> Outcome:
    return state, (Saying(f"why {'check' if state.phase.startswith('check') else 'inverse'}"),)


def how_to_check(state: State, event: Event) -> Outcome:
    return state, (Saying("how to check", {"unknown": state.letter}),)


def progress(state: State, event: Event) -> Outcome:
    values: dict[str, Filling] = {"first": state.task.equation, "lines": len(state.board), "line": state.equation}
    return state, (Saying("progress", values),)


def repeat(state: State, event: Event) -> Outcome:
    """Verbatim the first time, in other words the second: ``wording`` reads ``repeats``."""
    return replace(state, repeats=state.repeats + 1), ()


def slower(state: State, event: Event) -> Outcome:
    return state, (Saying("slower"),)


def what_to_say(state: State, event: Event) -> Outcome:
    return state, (Saying("what to say"),)


def skip(state: State, event: Event) -> Outcome:
    said = Saying("skip", {"first": state.task.equation})
    return begin_task(state, state.place + 1), (said,)


def stop(state: State, event: Event) -> Outcome:
    return replace(cleared(state), phase="done"), (Saying("stop"),)


def pause(state: State, event: Event) -> Outcome:
    return replace(state, back=state.back if state.phase in {"confirm", "offer stop"} else state.phase), ()


def nothing(state: State, event: Event) -> Outcome:
    return state, ()


UNCLEAR_QUESTIONS = ("grouping", "decimal comma", "two moves", "which side", "another letter", "which operation")


def say_again(state: State, event: Event) -> Outcome:
    known = event.question in UNCLEAR_QUESTIONS
    return state, (Saying(f"unclear {event.question}" if known else "unclear", {"unknown": state.letter}),)


def ask_again(state: State, event: Event) -> Outcome:
    """An answer to a question that was not asked: the question is put again."""
    return state, ()


def listen_again(state: State, event: Event) -> Outcome:
    """Something else was said where yes or no was asked: ``advance`` hears it in the phase that was left."""
    return replace(state, held=None), ()


def tell_someone(state: State, event: Event) -> Outcome:
    back = state.phase if state.phase not in {"confirm", "offer stop", "paused"} else state.back
    return replace(state, held=None, back=back), (Saying("tell someone"),)


def are_you_there(state: State, event: Event) -> Outcome:
    return state, (Saying("are you there"),)
