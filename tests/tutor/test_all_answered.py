"""A turn of several parts: each gets its answer. Why, asked again, is told in another way; a feeling is met with what
this learner did; a wrong number for a side gets the question of that side. The turns are invented."""

import pytest
from talking import CHECK, HINT, STUCK, WHY, Talk, line, meant, move, task, told, value

from dialogue.acts import Ask, Comment, Interpretation, PartMove, Say, Term, Unclear
from dialogue.algebra.equation import read_equation
from dialogue.algebra.reading import read_expression
from dialogue.tutor.core.state import Plan, State, Task, Utterance
from dialogue.tutor.resolve_in_lesson import resolved
from dialogue.tutor.session import begin, respond, step
from dialogue.understanding.seen_turn import see

TIMES_7, PLUS_5 = move("multiply", "7", "unsaid", "n"), move("add", "5", "unsaid", "n")
UPSET, FELT = Comment("feel", "upset"), Comment("feel")
DIVIDED = move("divide", "4", letter="n")


def _resolved(state: State, text: str, found: Interpretation | None) -> Interpretation:
    assert found is not None
    return resolved(state, see(text, letter=state.letter), found)


def _four() -> Talk:
    talk = Talk("4n = 80")
    talk.turn(DIVIDED)
    return talk


def test_another_operation_on_the_other_side_is_met_with_the_same_for_that_side() -> None:
    talk = _four()
    talk.turn(value("n", "n"))
    talk.turn(value("76"))
    assert talk.text == "You divided the left by 4. What is 80 shared by 4?"
    talk.turn(value("76"))
    assert talk.text.startswith("On the right, work out 80/4.")


def test_so_it_is_where_the_whole_line_was_said() -> None:
    talk = _four()
    talk.turn(line("n = 76"))
    assert talk.text == "You divided the left by 4. What is 80 shared by 4?"


def test_a_slip_in_the_sum_is_asked_for_again_and_no_line_is_tried() -> None:
    talk = Talk("n - 30 = 41")
    talk.turn(move("add", "30", letter="n"))
    talk.turn(value("n", "n"))
    talk.turn(value("72"))
    assert talk.keys[0] == "check arithmetic"
    talk.turn(value("11"))
    assert talk.text.startswith("On the right, work out 41 + 30.")


def test_what_was_shown_is_not_told_as_done_by_the_learner() -> None:
    talk = Talk("4n = 80")
    talk.say(STUCK, STUCK, STUCK, STUCK)
    assert talk.state.aided == "shown"
    talk.turn(value("n", "n"))
    talk.turn(value("76"))
    assert "You divided" not in talk.text


def test_why_before_a_step_is_of_both_sides_and_never_twice_the_same() -> None:
    talk = Talk("98 = n + 58")
    told = []
    for _ in range(5):
        talk.turn(WHY)
        told.append(talk.turns[-1].replies[0].text)
    assert told == [
        "98 and n + 58 are worth the same. Change one alone, and they are not.",
        "Take 10 = 7 + 3. Take 3 off the right only, and it is false.",
        "Think of a level balance, 98 and n + 58. Make only one lighter, and it goes up.",
        "Each step undoes something done to n. Done on both sides, they stay equal.",
        "98 and n + 58 are the same amount. What is done to one must be done to the other.",
    ]


def test_why_after_a_step_is_of_that_step_first() -> None:
    talk = Talk("98 = n + 58")
    talk.turn(move("subtract", "58", letter="n"))
    talk.turn(WHY)
    assert talk.keys[0] == "why subtract"
    talk.turn(WHY)
    assert talk.keys[0] == "answer both sides"


def test_a_feeling_beside_a_step_is_met_with_what_was_done() -> None:
    talk = Talk("4n = 80")
    talk.turn(DIVIDED, UPSET)
    assert (
        "oth sides divided by 4" in talk.text and talk.keys[0] == "you did move, felt" and talk.keys[-1] == "ask left"
    )
    talk.turn(value("n", "n"), UPSET)
    assert talk.text.startswith("You worked out the left side: n.")
    talk.turn(value("76"), UPSET)
    assert talk.keys == ["you did left", "same as left, divide"] and "own work" in talk.text


def test_a_feeling_after_a_number_was_named_is_met_with_that_and_a_smaller_step() -> None:
    talk = Talk("4n = 80", fresh=True)
    talk.turn(Term(read_expression("4", "n")))
    talk.turn(Comment("reason"), STUCK, UPSET)
    assert talk.text.startswith("You saw where to look: at the 4. With n as 6, 4n is 24, not 10.")  # 20 is the answer


def test_a_feeling_of_no_known_kind_is_met_with_the_equation_just_solved() -> None:
    talk = Talk("98 = n + 51", "87 = 3n", "5n = 45")
    talk.turn(value("47"))
    talk.turn(value("98"), Say("yes"), FELT)
    assert talk.text.startswith("Left 98, right 98: 47 fits. That one you solved by yourself.")
    talk.turn(value("29"))
    talk.turn(value("87"), FELT)
    assert "you solved that" not in talk.keys


def _heard(state: State, text: str) -> tuple[str, list[str]]:
    turn = step(state, Utterance(text))
    return " ".join(reply.text for reply in turn.replies), [reply.key for reply in turn.replies]


def _solved_six() -> State:
    talk = Talk("6n = 90", "6n = 78")
    for act in (move("divide", "6", letter="n"), value("n", "n"), value("15"), value("90")):
        talk.turn(act)
    return talk.state


OPEN = Talk("3n + 5 = 20").state
TIMES = "Yes. In 6n = 90, it is multiplied by 6: dividing undoes that."
RULES = (
    (_solved_six(), "so when it's stuck to the letter you divide, not subtract?", TIMES),
    (_solved_six(), "do you always divide when theres a number next to n?", TIMES),
    (_solved_six(), "so I do the opposite?", "Yes, as you see: dividing by 6 undid multiplying by 6."),
    (
        _solved_six(),
        "so you always take away the number?",
        "No: from 10, multiplying by 6 gives 60. Then taking away 6 gives 54, and not 10.",
    ),
    (OPEN, "so I do the opposite?", "Yes: each operation is undone by its opposite, on both sides."),
    (OPEN, "it's always the last one first, right?", "Yes: shoes go on last, and come off first."),
    (OPEN, "so you always take away the number?", "If it is adding, yes: taking away undoes that."),
    (OPEN, "so if its plus you plus again?", "No: from 10, adding 2 gives 12. Then adding 2 gives 14, and not 10."),
    (OPEN, "when its minus i add yeah?", "Yes: taking away undoes adding. You are back where you were."),
)


@pytest.mark.parametrize(("state", "text", "answer"), RULES, ids=[text for _, text, _ in RULES])
def test_an_own_rule_is_answered_by_yes_or_no_and_one_reason(state: State, text: str, answer: str) -> None:
    assert _heard(state, text)[0].startswith(answer)


@pytest.mark.parametrize(
    "text", ["so when do i divide?", "so i divide?", "if i divide both sides?", "so i add 5 to both?"]
)
def test_a_step_or_a_plain_question_is_no_rule(text: str) -> None:
    acts = step(OPEN, Utterance(text)).meant
    assert acts is not None and not any("rule" in getattr(act, "about", "") for act in acts.acts)


def test_the_rule_of_the_order_is_shown_in_the_equation_at_hand() -> None:
    talk = Talk("3n + 5 = 20")
    talk.turn(move("subtract", "5", letter="n"))
    talk.turn(line("3n = 15"))
    told = "Yes. In 3n + 5 = 20, 5 is added last of all, so that was undone first."
    assert _heard(talk.state, "it's always the last one first, right?")[0].startswith(told)
    other = Talk("3n + 6 = 21")
    other.turn(move("divide", "3", letter="n"))  # not the last one first, and right all the same
    assert "undone first" not in _heard(other.state, "it's always the last one first, right?")[0]


def test_what_a_piece_of_the_line_means_is_answered_beside_the_step() -> None:
    turn = Talk("87 = 3n")
    turn.turn(Ask("meaning", "means: 3*n"), move("subtract", "3", "right", "n"))
    assert turn.text.startswith("3n means 3 times n; the times sign is left out. ") and turn.keys[-1] == "ask mend"
    found = _resolved(Talk("87 = 3n").state, "so what do you mean by 3n", meant(Ask("meaning")))
    assert found.acts == (Ask("meaning", "means: 3*n"),)


def test_what_is_not_clear_beside_what_is_takes_no_answer() -> None:
    found = _resolved(OPEN, "hm 5 off both", meant(Unclear(), move("subtract", "5", letter="n")))
    assert found.acts == (move("subtract", "5", letter="n"),)


def test_the_answer_put_in_said_again_is_not_worked_out_wrongly() -> None:
    talk = Talk("98 = n + 58")
    talk.turn(value("40"))
    text, keys = _heard(talk.state, "is 40 right?")
    assert keys[0] == "answer still" and "once more" not in text and keys[-1] == "ask check only right"
    assert step(talk.state, Utterance("98")).state.phase == "done"


def test_a_number_that_was_only_said_again_is_no_answer_where_a_newcomer_is_placed() -> None:
    state = begin(Plan((Task(read_equation("3n = 60"), 3, purpose="place"), task("n + 20 = 33")))).state
    state = step(state, Utterance("57")).state
    turn = step(state, Utterance("171, that is far too much. does the 3n mean 3 times n then?"))
    assert turn.state.place == 0 and "Yes: 3n is 3 times n." in " ".join(reply.text for reply in turn.replies)


def test_how_it_looks_is_an_answer_to_how_they_are_joined() -> None:
    state = begin(Plan((Task(read_equation("3n = 75"), 3, purpose="place"), task("n + 20 = 33")))).state
    state = step(state, Utterance("take away 3")).state
    text, keys = _heard(state, "idk there stuck togehter. like 3 and n")
    assert keys[0] == "answer lots" and "With 3" not in text


def test_an_account_beside_the_answer_is_taken_first() -> None:
    talk = Talk("7n + 5 = 75", "2n = 8", fresh=True)
    found = _resolved(talk.state, "10. x7 +5", meant(value("10"), told(TIMES_7, PLUS_5)))
    talk.turns.append(respond(talk.state, Utterance("10. x7 +5"), found))
    assert talk.keys == ["operations right", "ask check left"] and talk.state.guess == 10


def test_help_asked_for_beside_an_answer_done_alone_does_not_lose_it() -> None:
    state = begin(Plan((Task(read_equation("8n = 40"), 3, exit=True, purpose="exit"),))).state
    found = _resolved(state, "n = 5. how do i do both?", meant(line("n = 5"), HINT))
    assert respond(state, Utterance("n = 5"), found).state.guess == 5


def test_something_of_ones_own_is_heard_and_an_objection_to_silence_too() -> None:
    talk = Talk("n - 30 = 35", "n - 22 = 35", "n - 1 = 9")
    talk.turn(value("65"))
    talk.turn(value("35"), Comment("aside"))
    assert talk.text.startswith(("Left 35", "Both sides come to 35", "35 on both")) and "thank" not in talk.text.lower()
    talk.turn(Comment("object"), value("57"))
    assert "I left that out" not in talk.text and "57 fits" in talk.text  # nothing was asked
    asked = Interpretation((Comment("aside"),), sure=True, marks=("asks",))
    talk.turns.append(respond(talk.turns[2].state, Utterance("do you have a dog?"), asked))
    talk.turn(Comment("object"), value("57"))
    assert talk.text.startswith("True, I left that out. I only know equations: ")


def test_a_question_that_cannot_be_answered_is_said_so_beside_the_step() -> None:
    talk = Talk("n - 30 = 35", "n - 22 = 35")
    talk.turn(move("add", "30", letter="n"), Ask("check", "open"))
    assert talk.keys[:2] == ["take move", "answer open"] and "teacher" in talk.text and talk.state.phase == "left"


def test_whoever_objects_to_being_moved_on_is_told_that_it_comes_again() -> None:
    state = begin(Plan((Task(read_equation("3n = 75"), 3, purpose="place"), task("n + 44 = 65")))).state
    for text in ("20", "30"):
        state = step(state, Utterance(text)).state
    assert state.place == 1
    turn = respond(state, Utterance("..."), meant(Comment("object"), move("subtract", "44", letter="n")))
    assert [reply.key for reply in turn.replies][:2] == ["answer skipped", "take move"]
    solved = respond(state, Utterance("..."), meant(Comment("object"), move("subtract", "44", letter="n"), value("21")))
    assert solved.replies[0].key == "answer skipped" and solved.state.guess == 21


def test_is_it_bad_is_answered_where_a_wrong_answer_is_looked_into() -> None:
    talk = Talk("n - 30 = 41")
    talk.turn(value("11"))
    talk.turn(value("-19"))
    assert talk.state.phase == "account"
    talk.turn(CHECK)
    assert talk.text.startswith("That is all right. 11 did not fit, so we look for the step that changed it.")


def test_two_ways_are_compared_by_these_numbers() -> None:
    talk = Talk("5(n + 4) = 90", "2n = 8")
    for act in (move("divide", "5", letter="n"), line("n + 4 = 18"), value("14"), value("90"), Comment("reason")):
        talk.turn(act)
    assert talk.text.startswith("Both are right. Dividing first is shorter here: 90 divided by 5 is a whole number.")


def test_what_happens_is_told_without_its_numbers() -> None:
    for equation, parts, done in (
        ("2n + 17 = 29", (PartMove("multiply"), PartMove("add")), told(move("multiply", "2"), move("add", "17"))),
        ("6n = 78", (PartMove("add"),), told(move("add", "6"))),
    ):
        found = _resolved(Talk(equation, fresh=True).state, "...", meant(*parts, Comment("reason")))
        assert found.acts == (done, Comment("reason"))
    undoing = meant(PartMove("divide"))
    assert _resolved(Talk("6n = 78", fresh=True).state, "you divide", undoing).acts == (PartMove("divide"),)


def test_help_is_given_once_however_it_is_asked_for() -> None:
    found = _resolved(OPEN, "how? i dont get it", meant(HINT, STUCK))
    assert found.acts == (HINT,)


@pytest.mark.parametrize("text", ["6n is times, im rubbish at this", "divide by 6. i was never any good at this"])
def test_who_runs_themselves_down_beside_a_step_is_heard(text: str) -> None:
    acts = step(Talk("6n = 78").state, Utterance(text)).meant
    assert acts is not None and Comment("feel", "upset") in acts.acts


def test_why_of_a_move_that_is_no_nearer_is_what_it_leaves() -> None:
    talk = Talk("4n = 80")
    talk.turn(move("subtract", "4", letter="n"))
    talk.turn(Comment("reason"), WHY)
    assert talk.text.startswith("4n means 4 lots. Take 4 off, and 4n − 4 is left.")


def test_another_answer_in_a_sentence_of_its_own_is_put_in() -> None:
    talk = Talk("4n = 80")
    talk.turn(value("76"))
    turn = step(talk.state, Utterance("oh wait 20. but why do both sides have to be done"))
    assert turn.state.guess == 20 and "worth the same" in " ".join(reply.text for reply in turn.replies)


def test_the_number_that_was_said_takes_the_place_of_the_one_taken_and_the_rest_is_heard() -> None:
    talk = Talk("61 = 8n + 13")
    talk.turn(move("subtract", "31", letter="n"))
    turn = step(talk.state, Utterance("no, i said 13. so 48 = 8n"))
    assert [reply.key for reply in turn.replies][:2] == ["sorry, misread", "take move"]
    assert turn.state.equation == read_equation("48 = 8n")


def test_the_answer_that_was_said_takes_the_place_of_the_one_put_in() -> None:
    talk = Talk("61 = 8n + 13", "2n = 4")
    talk.turn(value("7"))
    assert step(talk.state, Utterance("i didnt say 7, i said 6. 48 and 13 is 61")).state.place == 1
    turn = step(talk.state, Utterance("i didnt mean that. 6"))
    assert turn.state.guess == 6 and turn.replies[0].key == "sorry, misread"


@pytest.mark.parametrize("text", ["no its 69", "not 61, 69", "56 and 13, so 69"])
def test_the_value_of_a_side_is_no_objection(text: str) -> None:
    talk = Talk("61 = 8n + 13", "2n = 4")
    talk.turn(value("7"))
    turn = step(talk.state, Utterance(text))
    assert turn.state.tried == (7,) and turn.state.guess is None


def test_the_number_of_the_move_in_hand_said_again_is_no_value() -> None:
    talk = _four()
    turn = step(talk.state, Utterance("by 4"))
    assert turn.replies[0].key == "move again" and turn.state.tries == 0


def test_an_objection_to_ones_own_wrong_answer_is_no_misreading() -> None:
    talk = Talk("n - 24 = 31")
    talk.turn(value("7"))
    talk.turn(value("-17"), Comment("object"), FELT)
    assert talk.keys[:2] == ["you tried", "answer fails"] and "misread" not in talk.text
    talk.turn(WHY)
    assert talk.text.startswith("We tried 7: left −17, right 31.") or talk.text.startswith("7 came to −17 and 31")


def test_why_beside_the_number_that_solves_it_is_of_this_equation() -> None:
    talk = Talk("n - 18 = 40", "n + 12 = 50", "2n = 8")
    talk.say(value("58"), value("40"))
    talk.turn(value("38"), WHY)
    talk.turn(value("50"), WHY) if talk.state.place == 1 else None
    assert "12 was added, so taking 12 off undoes it." in talk.text


def test_an_own_rule_that_was_not_read_is_met_with_what_was_undone_here() -> None:
    talk = Talk("6n = 90", "6n = 78")
    talk.turn(move("divide", "6", letter="n"))
    talk.turn(value("n", "n"), Comment("rule"))
    assert talk.text.startswith("In 6n = 90, it is multiplied by 6: dividing undoes that.")
    before = Talk("6n = 90")
    before.turn(Comment("rule"))
    assert before.keys[0] == "heard rule"


def test_a_question_of_its_own_stands_for_a_bare_one_beside_it() -> None:
    found = _resolved(OPEN, "is it right to move it over?", meant(Ask("check"), Ask("check", "moving")))
    assert found.acts == (Ask("check", "moving"),)


def test_what_is_said_of_ones_own_in_this_turn_is_not_what_was_left_out() -> None:
    talk = Talk("n - 30 = 35", "n - 22 = 35")
    talk.turn(move("add", "30", letter="n"), Comment("object"), Comment("aside"))
    assert "sorry, aside" not in talk.keys
    talk.turn(value("n", "n"), Comment("object", "not heard"))
    assert talk.keys[0] == "sorry, move"


def test_an_opposite_that_is_named_is_judged() -> None:
    talk = Talk("2n - 2 = 24")
    text = "They are joined by times, so the opposite is divide?"
    assert _heard(talk.state, text)[0].startswith("Yes: multiplying undoes dividing.")


@pytest.mark.parametrize(
    "text", ["it takes away the number", "the number gets taken away", "something is taken off it"]
)
def test_what_happens_is_heard_in_words_alone(text: str) -> None:
    state = Talk("n - 41 = 47", fresh=True).state
    talk = meant(Comment("reason"), sure=False) or pytest.fail()
    assert _resolved(state, text, talk).acts == (told(move("subtract", "41")),)
    assert _resolved(Talk("n + 41 = 47", fresh=True).state, text, talk).acts == talk.acts, "it is not said to be wrong"


def test_a_guess_of_how_they_are_joined_is_the_account_that_was_asked_for() -> None:
    state = Talk("4n = 68", fresh=True).state
    turn = step(state, Utterance("is it times cos its 4n"))
    assert turn.state.phase == "move" and turn.replies[0].key == "operation right"


def test_two_minuses_that_cancel_are_those_of_the_line() -> None:
    for equation, key in (("19 - 4n = 7", "answer two minuses"), ("n - 30 = 41", "answer same taken")):
        talk = Talk(equation)
        talk.turn(Ask("check", "same cancels"))
        assert talk.keys[0] == key
