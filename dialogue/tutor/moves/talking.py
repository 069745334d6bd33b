"""What the table's effects do when the learner describes, asks, answers yes or no, or gives a command."""

from dataclasses import replace

from dialogue.acts import Describe
from dialogue.tutor.core.events import Event, Outcome
from dialogue.tutor.core.questions import after_operations, begin_task, cleared
from dialogue.tutor.core.state import Phase, State
from dialogue.tutor.moves.hints import hint
from dialogue.verbalising.sayings import Filling, Saying

HINT_AFTER, TELL_AFTER = 2, 3  # failures to describe what happens to the unknown


def operations_right(state: State, event: Event) -> Outcome:
    """What happens to the unknown, described rightly."""
    state = state.counted("operations") if state.rung == 0 and state.tries == 0 else state
    return after_operations(replace(state, tries=0, described=())), (Saying("operations right"),)


def operations_begun(state: State, event: Event) -> Outcome:
    """The first of what happens to the unknown: the rest is asked for."""
    assert isinstance(event.meaning, Describe)
    told = (*state.described, *event.meaning.operations)
    return replace(state, described=told), (Saying("operations begun", {"unknown": state.letter}),)


def operations_wrong(state: State, event: Event) -> Outcome:
    """Not what happens to the unknown: again, then a smaller question."""
    state = replace(state, tries=state.tries + 1, described=())
    return _smaller_or(state, Saying("operations wrong", {"unknown": state.letter}))


def name_the_operation(state: State, event: Event) -> Outcome:
    """A value where operations were asked for."""
    return state, (Saying("name the operation"),)


def term_named(state: State, event: Event) -> Outcome:
    """A term of the equation, named as the one to begin with."""
    state = state.counted("first") if state.rung == 0 and state.tries == 0 else state
    return replace(state, rung=0, tries=0), (Saying("term named"),)


def term_unknown(state: State, event: Event) -> Outcome:
    """No term of the equation: again, then a smaller question."""
    return _smaller_or(replace(state, tries=state.tries + 1), Saying("term unknown", {"unknown": state.letter}))


def _smaller_or(state: State, said: Saying) -> Outcome:
    """After two failures a smaller question; after three the question is answered, for it shows no step."""
    if state.tries < HINT_AFTER:
        return state, (said,)
    return hint(state, Event("hint" if state.tries >= TELL_AFTER else "stuck"))


def name_the_move(state: State, event: Event) -> Outcome:
    """A term or value where a move was asked for."""
    return state, (Saying("name the move"),)


def whole_line(state: State, event: Event) -> Outcome:
    """One value where the whole line was asked for."""
    return state, (Saying("whole line"),)


def comment(state: State, event: Event) -> Outcome:
    """An answer to a question that was only there to make the learner think: it is not judged."""
    return state, (Saying("comment"),)


def heard_right(state: State, event: Event) -> Outcome:
    """Yes to a read-back: ``advance`` then hears the held meaning in the phase it was meant for."""
    return replace(state, doubts=0), ()


def heard_wrong(state: State, event: Event) -> Outcome:
    """No to a read-back: digit by digit, then typed."""
    state = replace(state, doubts=state.doubts + 1)
    return state, (Saying("say each digit" if state.doubts == 1 else "type it"),)


def say_digits(state: State, event: Event) -> Outcome:
    """Nothing could be made of the sound: again, digit by digit, then typed."""
    state = replace(state, doubts=state.doubts + 1)
    keys = {1: "say it again", 2: "say each digit"}
    return state, (Saying(keys.get(state.doubts, "type it")),)


def read_back(state: State, event: Event) -> Outcome:
    """Heard with some doubt: it is read back, and held for a yes."""
    assert event.meaning is not None
    back = state.phase if state.phase != "confirm" else state.back
    return replace(state, held=event.meaning, back=back), ()


def go_on(state: State, event: Event) -> Outcome:
    """Back to where the learner was."""
    return state, (Saying("go on"),)


def level_yes(state: State, event: Event) -> Outcome:
    """A yes where a tilted balance is to be made level: what tilted it, and the question."""
    return state, (Saying("level yes"),)


def level_no(state: State, event: Event) -> Outcome:
    """A no where a tilted balance is to be made level: the question again."""
    return state, (Saying("level no"),)


def which_count(state: State, event: Event) -> Outcome:
    """A yes or no where none or every number was asked for."""
    return state, (Saying("which count"),)


def more_than_yes(state: State, event: Event) -> Outcome:
    """A yes or no where a step was asked for."""
    return state, (Saying("more than yes"),)


def why(state: State, event: Event) -> Outcome:
    """Why the inverse, or why the check."""
    return state, (Saying(f"why {'check' if state.phase.startswith('check') else 'inverse'}"),)


def how_to_check(state: State, event: Event) -> Outcome:
    """How an answer is checked."""
    return state, (Saying("how to check", {"unknown": state.letter}),)


def progress(state: State, event: Event) -> Outcome:
    """How far the equation has come."""
    if len(state.board) == 1:
        return state, (Saying("progress first"),)
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
    """This equation is left for another day."""
    said = Saying("skip", {"first": state.task.equation})
    return begin_task(state, state.place + 1), (said,)


def stop(state: State, event: Event) -> Outcome:
    """The end of the lesson, as the learner wishes."""
    return cleared(state), (Saying("stop"),)


def pause(state: State, event: Event) -> Outcome:
    """The lesson waits; where it was is remembered."""
    return replace(state, back=state.phase), ()


def wait(state: State, event: Event) -> Outcome:
    """A pause where something is held: the tutor waits, and the question stays."""
    return state, (Saying("wait"),)


def nothing(state: State, event: Event) -> Outcome:
    """Nothing is said and nothing changes."""
    return state, ()


UNCLEAR_QUESTIONS = (
    "grouping",
    "decimal comma",
    "two moves",
    "which side",
    "another letter",
    "which operation",
    "too big",
    "not linear",
    "unknown below",
    "division by zero",
    "one equation",
)
SAY_WHAT: dict[Phase, str] = {
    "operations": "say operations",
    "first": "say a term",
    "left": "say a value",
    "right": "say a value",
    "line": "say a line",
    "check left": "say a number",
    "check right": "say a number",
    "count": "which count",
    "move": "what to say",
    "mend": "what to say",
}
SAY_WHAT_AFTER = 2  # sayings not followed in a row, after which the tutor says what it understands


def say_again(state: State, event: Event) -> Outcome:
    """What was not followed is never judged; the second time in a row the tutor says what can be said."""
    state = replace(state, doubts=state.doubts + 1)
    if event.question in UNCLEAR_QUESTIONS:
        return state, (Saying(f"unclear {event.question}", {"unknown": state.letter}),)
    key = "unclear" if state.doubts < SAY_WHAT_AFTER else SAY_WHAT.get(state.phase, "unclear")
    return state, (Saying(key),)


def ask_again(state: State, event: Event) -> Outcome:
    """An answer to a question that was not asked: the question is put again."""
    return state, ()


def listen_again(state: State, event: Event) -> Outcome:
    """Something else was said where yes or no was asked: ``advance`` hears it in the phase that was left."""
    return state, ()


def tell_someone(state: State, event: Event) -> Outcome:
    """A message of distress: an adult is named, and stopping is offered; nothing held is taken up."""
    back = state.back if state.phase in {"reason", "confirm", "offer stop", "paused"} else state.phase
    return replace(state, held=None, back=back), (Saying("tell someone"),)


def are_you_there(state: State, event: Event) -> Outcome:
    """Silence: one short question."""
    return replace(state, silences=state.silences + 1), (Saying("are you there"),)


def silent(state: State, event: Event) -> Outcome:
    """First "are you there", then a smaller question, then all the time in the world (rule 23); never a failure."""
    silences = state.silences + 1
    if silences == 1:
        return are_you_there(state, event)
    if silences == 2 and state.rung == 0 and state.phase != "count":
        return hint(replace(state, silences=silences), event)
    return replace(state, silences=0, phase="paused", back=state.phase), ()
