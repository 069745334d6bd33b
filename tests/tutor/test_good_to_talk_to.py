"""What a child can count on in the talk: evidence and not verdicts, answers taken as children give them, questions
answered, a person in front of it, and a lesson that begins where the last one ended. Turns are invented, and typed."""

import pytest
from talking import Talk, line, move, respond, value

from chattutor.session_logs.saved import plan_of, plan_record
from dialogue.acts import Act, Ask, Comment, Refused
from dialogue.algebra.equation import read_equation
from dialogue.algebra.solver import solve_by_steps
from dialogue.tutor.core.state import Plan, State, Task, Turn, Utterance
from dialogue.tutor.session import begin, step
from dialogue.verbalising.replies import phrases

TWO = "3x + 2 = 14"
HINT = Ask("hint")
BROKEN = ("3x = 16", "3x = 11", "5x = 14", "3x + 4 = 14", "x = 40", "2x = 12", "3x = 15")
SHOWS = ("evidence", "error", "claim", "answer", "model", "ask check", "smaller", "ask account")


def said(state: State, *texts: str) -> Turn:
    """These turns, typed; the last of them."""
    for text in texts:
        turn = step(state, Utterance(text))
        state = turn.state
    return turn


def fresh(*texts: str, faded: tuple[tuple[str, int], ...] = (("operations", 4), ("first", 2))) -> State:
    """A lesson of these equations."""
    return begin(Plan(tuple(Task(read_equation(text)) for text in texts), 3, faded)).state


@pytest.mark.parametrize("text", BROKEN)
def test_a_line_that_breaks_is_met_with_something_to_see_and_never_called_true(text: str) -> None:
    talk = Talk(TWO)
    talk.say(line(text))
    assert any(key.startswith(SHOWS) for key in talk.keys), talk.keys
    assert not any(key.endswith("still true") or key.startswith("take ") for key in talk.keys)


@pytest.mark.parametrize("asked", [Ask("why"), Ask("check")], ids=str)
def test_why_it_is_wrong_is_answered_with_evidence(asked: Act) -> None:
    talk = Talk(TWO)
    talk.say(line("3x = 16"), asked)
    assert any(key.startswith(("evidence", "claim")) for key in talk.keys), talk.keys


@pytest.mark.parametrize(
    "text", ["20", "its 20", "is it 20??", "the answer is 20", "try 20", "x has to be 20", "x = 20"]
)
def test_an_answer_in_a_childs_form_is_taken_and_put_in_at_any_moment(text: str) -> None:
    for before in ((), ("take 2 from both sides", "3x")):
        state = fresh(TWO)
        state = said(state, *before).state if before else state
        after = said(state, text).state
        assert (after.phase, after.guess) == ("check left", 20) or after.kept is not None or after.tries, (before, text)
    assert said(fresh(TWO), text).state.guess == 20


@pytest.mark.parametrize("text", ["no number works", "it's always true"])
def test_never_or_always_is_answered_in_a_childs_words(text: str) -> None:
    state = fresh("3n + 4 = 3n + 9")
    state = respond(state, Utterance("4 = 9"), line("4 = 9")).state
    state = said(state, "i took 3n away").state if state.phase == "reason" else state
    assert state.phase == "count"
    turn = said(state, text)
    assert turn.record.event in {"verdict right", "verdict wrong"}


@pytest.mark.parametrize(
    "text", ["what does x stand for", "what's a balance", "what's an inverse", "what do you mean", "what's the point"]
)
def test_a_question_is_answered_and_not_put_again(text: str) -> None:
    for faded in ((), (("operations", 4), ("first", 2))):
        turn = said(fresh(TWO, faded=faded), text)
        assert turn.replies[0].key == "glossary" or turn.replies[0].key.startswith("in other words"), text


def test_a_mood_is_met_with_what_the_learner_did_and_a_smaller_step() -> None:
    talk = Talk(TWO)
    talk.say(move("subtract", "2"), value("3x"), value("12"), Comment("feel", "upset"))
    assert "2 off both sides" in talk.text
    assert any(key.startswith("smaller") for key in talk.keys)


def test_a_side_that_is_a_number_is_never_asked_for_in_a_check() -> None:
    talk = Talk(TWO, "x + 5 = 12")
    talk.say(value("4"), value("14"))
    assert talk.state.solved == (0,) and talk.state.place == 1
    talk = Talk("14 = 3x + 2", "x + 5 = 12")
    talk.say(value("4"), value("14"))
    assert talk.state.solved == (0,)


def test_help_refused_is_no_help_and_only_what_was_shown_is_shown() -> None:
    talk = Talk(TWO)
    talk.say(Refused(HINT), line("3x = 12"))
    assert [each.level for each in talk.state.board] == ["independent", "independent"]
    talk.say(HINT, HINT, HINT, HINT, HINT)
    levels = [each.level for each in talk.state.board]
    assert levels[:2] == ["independent", "independent"] and "shown" not in levels[:2]


# -- the end of a lesson and the beginning of the next ----------------------------------------------------------------


def _solved_alone(stage: int, texts: tuple[str, ...], ahead: int = 0, right: bool = True) -> Turn:
    tasks = [Task(read_equation(text), stage) for text in texts]
    tasks[-1] = Task(tasks[-1].equation, stage, exit=True, purpose="exit", ahead=ahead)
    turn = begin(Plan(tuple(tasks), 1, (("operations", 4), ("first", 2))))
    for place, task in enumerate(tasks):
        if place == len(tasks) - 1 and not right:
            return respond(respond(turn.state, Utterance("hint"), HINT).state, Utterance("hint"), HINT)
        answer = task.equation.solution().value
        assert answer is not None
        turn = step(turn.state, Utterance(solve_by_steps(task.equation)[0].equation.text()))
        turn = step(turn.state, Utterance(str(answer)))
        while turn.state.phase in {"check left", "check right"}:
            side = task.equation.left
            turn = step(turn.state, Utterance(str(_worth(side, answer))))
    return turn


def _worth(side: object, answer: object) -> object:
    from dialogue.algebra.solver import value_at

    return value_at(side, answer)  # type: ignore[arg-type]  # a side and a number


def test_the_end_says_in_one_breath_what_was_done_and_what_comes_next() -> None:
    turn = _solved_alone(6, ("3x + 2 = 14", "5x - 4 = 26"), ahead=11)
    assert turn.state.phase == "done"
    did, ahead = turn.replies[-3:-1]
    assert did.text.startswith("Today you solved 2 equations")
    assert did.text.endswith("By yourself you undid multiplying by 5 and taking away 4.")
    assert ahead.text == "Next: the unknown on both sides."
    assert [reply.key for reply in turn.replies].count("did today") == 1


def test_an_end_without_success_on_the_last_goes_on_with_its_kind() -> None:
    turn = _solved_alone(6, ("3x + 2 = 14", "5x - 4 = 26"), ahead=11, right=False)
    assert "By yourself you undid multiplying by 3 and adding 2." in turn.replies[-3].text
    assert turn.replies[-2].text == "Next: more like these."


def test_the_next_day_begins_there_with_greeting_and_question_at_once() -> None:
    first = Task(read_equation("5x + 6 = 2x + 21"), 11)
    plan = Plan((first,), 0, open=True, before=(6, 2), now=11)
    replies = begin(plan).replies
    hello = "Hello again: last time, all by yourself, you undid two steps, twice. Now: the unknown on both sides."
    assert replies[0].text == hello
    assert replies[-1].text.endswith("?")
    assert plan_of(plan_record(plan)) == plan


def test_every_stage_has_its_words() -> None:
    for stage in range(1, 16):
        assert {f"did {stage}", f"stage {stage}"} <= set(phrases())


def test_two_failures_are_told_of_before_one_goes_back() -> None:
    from dialogue.tutor.activities.precheck import introduced

    before = Task(read_equation("3x + 2 = 14"), 6, purpose="practice")
    task = Task(read_equation("x/4 = 3"), 5, purpose="model", model=read_equation("2x + 1 = 9"))
    said_first = introduced(task, before, True)[0]
    assert said_first.key == "model after failures" and said_first.values["kind"] == "two steps"
