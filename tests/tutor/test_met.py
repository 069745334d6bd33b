"""Every turn is met: with its question where it asks one, its own wrong idea where it has one, its sure part where the
rest was not understood; and never with "I did not follow" alone. The sentences are invented."""

import pytest
from talking import typed_keys as _keys
from talking import typed_said as _said
from talking import typed_turns as _turns

from dialogue.acts import Describe, Interpretation
from dialogue.algebra.operations import operations_on
from dialogue.tutor.session import Utterance, respond

UNREAD = (
    ("4n + 5 = 65", "zib zab zoo"),
    ("4n + 5 = 65", "flurb"),
    ("n - 21 = 19", "zib zab"),
    ("2(n + 10) = 38", "zab"),
)


@pytest.mark.parametrize(("equation", "text"), UNREAD)
@pytest.mark.parametrize("fresh", [True, False])
def test_what_was_not_followed_is_asked_in_other_words(equation: str, text: str, fresh: bool) -> None:
    keys = _keys(equation, text, fresh=fresh)
    assert "unclear" not in keys or len(keys) > 2, keys


# -- a question gets its own answer -----------------------------------------------------------------------------------

ASKED = (
    ("3n = 39", (), "why do they leave the times sign out?", "answer sign left out"),
    ("59 = 3n + 23", (), "But why do we start from n and not from the 59?", "answer from unknown"),
    ("3n = 39", (), "divide by 3. what do you call it when you do the opposite?", "answer opposite named"),
    ("n + 20 = 6", (), "n = -14. do you say minus fourteen or negative fourteen?", "answer minus or negative"),
    ("n + 20 = 6", (), "take 20 off both. does n not change when i do that?", "answer unknown stays"),
    ("n + 20 = 6", (), "is passing it to the other side the same as moving it over?", "answer passing"),
    ("4n + 5 = 65", (), "can both be right?", "answer both right"),
    ("3n = 39", (), "whats that times sign", "answer times"),
    ("36 = 3n", (), "why not take away 3", "answer off a factor"),
    ("2(n + 10) = 38", (), "why can't you do the 10 first?", "answer order, bracket"),
)


@pytest.mark.parametrize(("equation", "before", "text", "key"), ASKED)
def test_a_question_gets_its_own_answer(equation: str, before: tuple[str, ...], text: str, key: str) -> None:
    assert key in _keys(equation, *before, text)


def test_a_question_asked_again_never_gets_the_same_words() -> None:
    asked = "do you say minus fourteen or negative fourteen?"
    turns = _turns("n + 20 = 6", asked, asked)
    first, again = ({reply.text for reply in turn.replies if reply.key.startswith("answer")} for turn in turns[1:])
    assert first and again and not first & again
    assert "answer missed" in [reply.key for reply in turns[-1].replies]


def test_nothing_is_said_of_what_the_line_has_not() -> None:
    assert "minus in front" not in _said("68 = n + 20", "What does it mean, to both sides? You mean the left member?")


def test_a_move_put_as_a_question_is_that_move() -> None:
    keys = _keys("3n = 39", "its times. so you do divide by 3?", fresh=False)
    assert {"take move", "take move, reason", "take unsure"} & set(keys)


# -- the tutor's own words taken up -----------------------------------------------------------------------------------


@pytest.mark.parametrize("text", ["what both sides", "both sides of what?", "sorry what does undo mean"])
def test_words_of_the_question_taken_up_are_said_another_way(text: str) -> None:
    keys = _keys("n - 21 = 19", "take away 21", text)
    assert "unclear" not in keys and len(keys) > 1


def test_an_answer_that_was_out_of_place_is_owned_to() -> None:
    said = _turns("3n = 39", "why do they leave the times sign out?", "mean nothing but?")
    taken_up = _turns("3n = 39", "does n change?", "stays the same number?")
    assert said[-1].state.phase == taken_up[-1].state.phase == "operations"
    assert next(reply.key for reply in taken_up[-1].replies) == "answer my words"


# -- a wrong idea is taken up -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "text", ["added?", "i said added", "i said added. i dont get it", "3n means add n to 3 so take 3 away", "add 3"]
)
def test_a_factor_taken_for_something_added_is_tried_with_a_number(text: str) -> None:
    keys = _keys("3n = 39", text)
    assert "hint means" in keys and "operation right" not in keys


def test_what_is_done_is_told_only_after_two_smaller_questions() -> None:
    keys = [[reply.key for reply in turn.replies] for turn in _turns("4n + 5 = 65", "idk", "idk", "idk")]
    assert "operations told" not in [*keys[1], *keys[2]] and "operations told" in keys[3]


def test_an_example_is_never_impossible() -> None:
    assert "2," not in _said("n - 21 = 19", "what do you mean", "what do you mean")


def test_below_zero_is_granted_and_used() -> None:
    before = ("take away 21", "19")
    keys = _keys("n - 21 = 19", *before, "you can't do that, it's less than 0")
    assert keys == ["heard below zero"]
    assert "answer fails" in _keys("n - 21 = 19", *before, "you can't do that, it's less than 0", "no")


def test_why_something_failed_is_told_of_what_was_done() -> None:
    assert "answer off a factor" in _keys(
        "36 = 3n", "33 = n", "99. so why did taking the 3 away not work?", fresh=False
    )


def test_the_side_that_went_wrong_is_asked_for() -> None:
    assert "what becomes, subtract" in _keys("2(n + 10) = 38", "take away 10, 2n = 28", fresh=False)


# -- sure parts of what was not understood ----------------------------------------------------------------------------

PARTS = (
    ("they are timesed. so divide?", "3n = 39", "ask part"),
    ("do you mean the 21?", "n - 21 = 19", "name the operation"),
)


@pytest.mark.parametrize(("text", "equation", "key"), PARTS)
def test_the_sure_part_is_used(text: str, equation: str, key: str) -> None:
    assert key in _keys(equation, text)


@pytest.mark.parametrize("text", ["hmm", "meh"])
def test_thinking_is_left_in_peace(text: str) -> None:
    assert {"heard aside", "heard feeling"} & set(_keys("4n + 5 = 65", "times 4 then add 5", text))


@pytest.mark.parametrize("text", ["i take 5 off the left", "take 5 from the 4n side only"])
def test_one_side_is_never_made_both(text: str) -> None:
    said = _said("4n + 5 = 65", "times 4 then add 5", text)
    assert "both" not in said and "left" in said


def test_a_move_said_as_its_sum_is_that_move() -> None:
    turn = _turns("3n = 39", "hmm", "divide both sides. 39 / 3", fresh=False)[-1]
    assert {reply.key for reply in turn.replies} & {"take move", "take unsure"}


@pytest.mark.parametrize("text", ["ohh so 4 times something plus 5 is 65", "4 times it then 5 more"])
def test_an_account_among_other_words_is_read(text: str) -> None:
    assert "operations right" in _keys("4n + 5 = 65", text)


def test_what_undoes_it_told_too_early_is_that_move() -> None:
    keys = _keys("4n + 5 = 65", "hmm", "minus the 5 off")
    assert "operations wrong" not in keys and {"take move", "take unsure"} & set(keys)


def test_a_move_said_on_is_a_further_move() -> None:
    turn = _turns("2n + 20 = 38", "times 2 then add 20", "take 20", "and divide by 2")[-1]
    assert turn.state.further and turn.state.phase == "line"


def test_the_answer_said_for_a_side_is_put_in() -> None:
    turn = _turns("4n + 5 = 65", "times 4 then add 5", "take 5 off both sides", "15")[-1]
    assert turn.state.phase == "check left"


def test_what_somebody_tells_that_they_did_is_no_move() -> None:
    turns = _turns("8n + 21 = 3n + 46", "take 21 off both sides", "8n = 3n + 67", "oh i added")
    assert [reply.key for reply in turns[1].replies] == ["ask reason"]
    assert [reply.key for reply in turns[2].replies] == ["take move", "error"]  # a wrong line is no reason
    assert not any(reply.key.startswith("still true") for reply in turns[3].replies)


def test_an_answer_found_not_to_fit_is_taken_as_checked() -> None:
    assert "answer fails" in _keys("n/5 = 15", "divided by 5", "n = 3", "oh 3/5 isnt 15")


def test_a_sum_in_signs_is_the_move_it_is_part_of() -> None:
    keys = _keys("n/5 = 15", "divided by 5", "15 x 5")
    assert {"take move", "take unsure"} & set(keys)


def test_a_number_in_the_line_that_is_asked_about_is_told() -> None:
    assert {"answer means lots", "answer lots"} & {*_keys("2(n + 10) = 38", "whats that little 2 doing there")}


def test_the_number_of_an_account_is_no_move() -> None:
    assert "what undoes that" in _keys("n/5 = 15", "its being shared", "by 5")


def test_a_number_worked_out_before_its_line_is_no_answer() -> None:
    keys = _keys("8n + 21 = 3n + 46", "so 8n = 3n + 46 - 21", "25. 8n = 3n + 25")
    assert "put it in" not in keys and "take line" in keys


def test_a_move_that_is_asked_about_is_looked_at_and_not_made() -> None:
    turn = _turns("8n + 21 = 3n + 46", "why cant i just divide by 8?")[-1]
    assert "answer what if" in [reply.key for reply in turn.replies] and turn.state.pending is None


@pytest.mark.parametrize(("before", "text", "key"), [
    ((), "undo?", "nothing to undo"), (("add 5 to both sides",), "alone?", "as you like"), ((), "oh", "ask check left"),
    ((), "divide or minus?", "part taken"),
])  # fmt: skip
def test_a_word_taken_up_does_nothing(before: tuple[str, ...], text: str, key: str) -> None:
    turns = _turns("4n + 5 = 65", "times 4 then add 5", *before, text)
    assert key not in [reply.key for reply in turns[-1].replies] and turns[-1].state.pending == turns[-2].state.pending


def test_an_answer_in_the_middle_of_talk_is_put_in() -> None:
    text = "thats 4 ns for 60 quid so its 15 a piece. my lass would have had that in 2 seconds"
    turn = _turns("4n + 5 = 65", "times 4 then add 5", "take 5 off both sides", "4n = 60", text)[-1]
    assert turn.state.guess == 15


def test_a_wrong_idea_said_again_is_met_in_other_words() -> None:
    first, again = (
        {reply.text for reply in turn.replies if reply.key.startswith("hint")}
        for turn in _turns("3n = 39", "added?", "i said added")[1:]
    )
    assert first and again and not first & again


def test_who_was_passed_over_is_told_so_where_two_ways_are_compared() -> None:
    before = (
        "add 10 then times 2",
        "divide by 2, n + 10 = 19",
        "n = 9. do you think she will talk to me tomorrow",
        "38",
    )
    turns = _turns("2(n + 10) = 38", *before)
    assert turns[-1].state.phase == "compare"
    keys = _keys("2(n + 10) = 38", *before[:2], "n = 9", "38. my sister keeps shouting", "you didnt answer")
    assert "sorry, aside" in keys


def test_a_side_read_off_the_board_is_no_answer() -> None:
    turn = _turns("59 = 3n + 23", "ok 59 on the left")[-1]
    assert turn.state.phase == "operations" and turn.state.guess is None


def test_what_is_only_like_a_question_is_not_answered_as_it() -> None:
    assert "answer negative" not in _keys("n + 10 = 19", "add 10", "n must be less than 19")


def test_what_now_is_a_wish_for_help() -> None:
    keys = _keys("4n + 5 = 65", "times 4 then add 5", "take 5 off both sides", "what now")
    assert not any(key.startswith("in other words") for key in keys)


def test_an_account_in_another_order_is_asked_for_what_comes_first() -> None:
    assert "operations unordered" in _keys("2(n + 10) = 38", "2 times n and 10")


def test_sums_that_end_in_the_answer_are_the_answer() -> None:
    turn = _turns("5n + 21 = 46", "times 5 then plus 21", "46 - 21 = 25, 25 / 5 = 5")[-1]
    assert turn.state.guess == 5


def test_a_number_told_with_what_undoes_it_is_the_move() -> None:
    turn = _turns(
        "59 = 3n + 23", "times 3 then add 23", "hmm", "I would take the 23 away first, since it went on last"
    )[-1]
    assert turn.state.pending is not None


def test_what_is_left_of_the_other_side_is_no_answer_once_a_move_is_asked_for() -> None:
    turn = _turns("59 = 3n + 17", "17 off both sides so thats 42", fresh=False)[-1]
    assert turn.state.guess is None and turn.state.pending is not None


@pytest.mark.parametrize(("text", "key"), [
    ("But why does the order matter?", "answer order"), ("Could you have divided first?", "answer order free"),
    ("how do I know there is not a second answer?", "answer solutions"),
])  # fmt: skip
def test_a_question_like_another_is_answered_as_itself(text: str, key: str) -> None:
    assert any(each.startswith(key) for each in _keys("4n + 5 = 65", "times 4 then add 5", text))


@pytest.mark.parametrize(("before", "text"), [((), "65 - 5"), (("4n = 60",), "60 shared between 4")])
def test_a_sum_of_the_other_side_is_its_move(before: tuple[str, ...], text: str) -> None:
    turn = _turns("4n + 5 = 65", "times 4 then add 5", *before, text)[-1]
    assert turn.state.pending is not None and turn.state.phase in {"left", "line"}


def test_a_belief_about_what_is_written_is_tried() -> None:
    keys = _keys("4n + 5 = 65", "times 4 then add 5", "4n = 60", "because 4n is 4 and n")
    assert "answer not the same" in keys


def test_why_not_is_a_question() -> None:
    assert "more than yes" not in _keys("4n + 5 = 65", "times 4 then add 5", "4n = 60", "n = 56", "229", "why not")


def test_what_is_seen_of_the_line_leads_to_what_undoes_it() -> None:
    state = _turns("59 = 3n + 23", "times 3 then add 23", "take 23 off both sides", "36 = 3n")[-1].state
    seen = Interpretation((Describe(tuple(operations_on(state.equation))),), sure=True)
    assert "what undoes that" in [reply.key for reply in respond(state, Utterance("because its times"), seen).replies]


# -- own sums ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("text", ["65 - 5 is 55 so 4n = 55", "65 take away 5 is 55, 4n = 55"])
def test_an_own_sum_that_does_not_come_out_is_done_again(text: str) -> None:
    keys = _keys("4n + 5 = 65", "times 4 then add 5", text)
    assert "sum wrong" in keys and "take line" not in keys


def test_a_chain_stops_at_its_wrong_sum() -> None:
    keys = _keys("4n + 5 = 65", "times 4 then add 5", "4n = 60, 60 / 4 = 14, n = 14")
    assert "take line" in keys and "sum wrong" in keys and "ask check left" not in keys


def test_a_check_in_several_sums_is_one() -> None:
    keys = _keys("4n + 5 = 65", "times 4 then add 5", "n = 15", "4 x 15 = 60, 60 + 5 = 65")
    assert "answer fits" in keys or "answer fits, praised" in keys


def test_a_check_stops_at_its_wrong_sum() -> None:
    said = _said("4n + 5 = 65", "times 4 then add 5", "n = 15", "4 x 15 = 50 + 5 = 55")
    assert said.startswith("Work out 4 × 15 once more.")


@pytest.mark.parametrize("text", ["n + 5 = 19", "2n + 10 + 5 = 38"])
def test_a_line_is_never_taken_for_a_sum(text: str) -> None:
    assert "sum wrong" not in _keys("2(n + 10) = 38", text)


# -- not heard, and the end -------------------------------------------------------------------------------------------


def test_not_being_heard_is_said_of_the_answer_that_was_given() -> None:
    before = ("times 4 then add 5", "take 5 off both sides", "4n = 60", "my lass would have had that in 2 seconds")
    keys = _keys("4n + 5 = 65", *before, "I just said, its 15. n = 15")
    assert "sorry, aside" not in keys


def test_who_leaves_with_a_question_is_answered_and_let_go() -> None:
    turn = _turns("4n + 5 = 65", "stop. why do they leave the times sign out?")[-1]
    assert turn.state.phase == "done" and "answer sign left out" in [reply.key for reply in turn.replies]


def test_who_leaves_is_told_how_many_were_solved() -> None:
    turn = _turns("3n = 39", "idk", "times 3", "13", "39", "stop")[-1]
    assert turn.state.phase == "done" and "solved today" in [reply.key for reply in turn.replies]


@pytest.mark.parametrize("text", ["well the 17 has to go, leaves 42", "get rid of 17 and thats 42 is it"])
def test_what_a_step_leaves_is_no_answer_where_the_step_is_only_hinted_at(text: str) -> None:
    turn = _turns("59 = 3n + 17", text, fresh=False)[-1]
    assert turn.state.guess is None and turn.state.pending is not None
