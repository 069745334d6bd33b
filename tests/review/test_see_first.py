"""Whom to see first, what stands for what, and what is no idea: the trade's brief, section 4 and the rules of evidence
(record independent, right after wrong steps, prompted, shown, not yet, not attempted; group by error, never by score).
"""

from pathlib import Path
from typing import Any

import pytest
from processes import chattutor
from test_over_time import on
from test_review import EQUATIONS, read, session, solved, wrong

from chattutor.review.error_patterns import ideas
from chattutor.review.evidence import Instance, Learner, Tried
from chattutor.session_logs.equation_marks import Mark
from dialogue.algebra.equation import read_equation
from dialogue.algebra.misconceptions import error_table, wrong_answers
from dialogue.algebra.misconceptions.catalogue import beliefs
from dialogue.algebra.misconceptions.consistency import ARITHMETIC


def stated(task: int, equation: str, said: str, *errors: str) -> dict[str, Any]:
    """A judged wrong line, written."""
    return wrong(task, said) | {"errors": list(errors), "step": {"act": "state", "equation": equation}}


def tried(task: int, number: int) -> dict[str, Any]:
    """A wrong number put forward."""
    return stated(task, f"n = {number}", str(number), "arithmetic-slip") | {"event": "answer"}


def asked(task: int, said: str, event: str = "stuck") -> dict[str, Any]:
    """A call for help at the first question."""
    return {"task": task, "event": event, "said": said, "phase": "move"}


def test_wrong_first_on_each_is_not_independent(tmp_path: Path) -> None:
    session(tmp_path, "a", [each for task in range(3) for each in (wrong(task, "n = 1"), solved(task))])
    session(tmp_path, "b", [solved(task) for task in range(3)])
    first, second = (row["stages"]["3"] for row in read(tmp_path)["learners"])
    assert first == {"now": "right after wrong steps", "best": "right after wrong steps", "right after wrong steps": 3}
    assert second["now"] == "independent"


def test_a_wrong_value_of_a_side_is_a_wrong_step_but_not_while_an_answer_is_put_in(tmp_path: Path) -> None:
    value = {"task": 0, "event": "value wrong", "said": "5"}
    session(tmp_path, "a", [value | {"phase": "right"}, solved(0)])
    session(tmp_path, "b", [value | {"phase": "check left"}, solved(0)])
    now = [row["stages"]["3"]["now"] for row in read(tmp_path)["learners"]]
    assert now == ["right after wrong steps", "independent"]


def test_the_latest_and_what_went_further_before(tmp_path: Path) -> None:
    session(tmp_path, "a", [solved(0), solved(1, "shown"), asked(2, "help")])
    assert read(tmp_path)["learners"][0]["stages"]["3"] == {
        "now": "not yet", "best": "independent", "independent": 1, "shown": 1, "not yet": 1,
    }  # fmt: skip


def test_four_kinds_each_with_the_learners_own_sentence_and_everybody_else(tmp_path: Path) -> None:
    session(tmp_path, "fine", [solved(0), solved(1)])
    session(tmp_path, "held", [wrong(0, "n is 48"), wrong(1, "n is 78"), solved(2)])
    session(tmp_path, "lost", [solved(0), *[asked(1, f"help {number}") for number in range(6)]])
    session(tmp_path, "idle", [{"task": 0, "event": "comment", "said": "this is boring"}, {"task": 0, "event": "skip"}])
    session(tmp_path, "none", [])
    session(tmp_path, "goes", [tried(task, number) for task in (0, 1) for number in (10, 11, 12)] + [solved(0)])
    page = read(tmp_path)
    assert [(row["code"], row["kind"], row["why"], row["said"]) for row in page["see_first"]] == [
        ("held", "idea", f"{error_table()['subtract-coefficient'].name}, on 2 equations", "n is 48"),
        ("lost", "stuck", "Stayed 6 turns at what to do to both sides, asked for help 6 times", "help 5"),
        ("idle", "little", "Said 2 things, 0 steps or answers among them", "this is boring"),
        ("none", "little", "Said nothing", ""),
        ("goes", "guesses", "Tried numbers on 2 equations instead of undoing, for example 3 on", "12"),
    ]
    assert page["others"] == ["fine"]


def test_equations_left_with_hardly_a_step_are_little_done_and_not_a_being_stuck(tmp_path: Path) -> None:
    talk = [{"task": task, "event": "comment", "said": f"boring {task}"} for task in (1, 2)]
    skips = [{"task": task, "event": "skip", "said": "skip"} for task in (1, 2)]
    left = [each for pair in zip(talk, skips, strict=True) for each in pair]
    session(tmp_path, "bored", [solved(0), *left])
    session(tmp_path, "shown", [solved(0, "shown"), *left])  # who needed help before is not taken for idle
    session(tmp_path, "tries", [solved(0), *[wrong(task, "n = 1", "") for task in (1, 2) for _ in range(2)]])
    kinds = [(row["code"], row["kind"], row["why"], row["said"]) for row in read(tmp_path)["see_first"]]
    unexplained = "Did not finish 2 of 3 equations, wrong steps on 2 that no one idea explains, last"
    assert kinds == [
        ("shown", "stuck", "Did not finish 2 of 3 equations, last", "boring 2"),
        ("tries", "stuck", unexplained, "n = 1"),
        ("bored", "little", "Left 2 of 3 equations with 0 steps or answers among them, last", "boring 2"),
    ]


def test_wrong_steps_that_no_idea_explains_are_told_beside_the_being_stuck(tmp_path: Path) -> None:
    """An idea that is in no table cannot be named; the page says that there are wrong steps, and quotes the last."""
    rows = [wrong(task, f"n = {task}{again}") | {"errors": []} for task in range(3) for again in range(2)]
    session(tmp_path, "a", [{**each, "phase": "move"} for each in rows])
    (first,) = read(tmp_path)["see_first"]
    assert (first["kind"], first["idea"]) == ("stuck", [])
    assert first["why"] == "Did not finish 3 of 3 equations, wrong steps on 3 that no one idea explains, last"
    assert first["said"] == "n = 21"


def test_who_said_nothing_this_time_is_told_with_the_idea_of_the_lesson_before(tmp_path: Path) -> None:
    on("2026-01-12", session(tmp_path, "a", [wrong(task, f"n = {task}") for task in range(3)]))
    on("2026-01-14", session(tmp_path, "a", []))
    (first,) = read(tmp_path)["see_first"]
    assert (first["kind"], first["why"], first["idea"]) == ("little", "Said nothing", [])
    (also,) = first["also"]
    assert also == "Subtracts the coefficient instead of dividing by it, on 3 equations, in an earlier lesson"


def test_letters_typed_at_random_are_no_step_of_who_left_the_rest_with_hardly_one(tmp_path: Path) -> None:
    """As a lesson keeps "asdfgh": half a move, of which neither the operation nor the number was said."""
    calls = [asked(1, "idk") for _ in range(3)]
    typed = {"task": 2, "event": "move part", "said": "asdfgh"}
    left = [typed, {"task": 2, "event": "skip", "said": "skip"}, {"task": 3, "event": "comment", "said": "."}]
    session(tmp_path, "idle", [solved(0), *calls, *left, {"task": 3, "event": "skip", "said": "skip"}])
    (row,) = read(tmp_path)["see_first"]
    assert (row["kind"], row["why"]) == ("little", "Left 2 of 4 equations with 0 steps or answers among them, last")


def test_who_tried_once_and_called_for_help_is_stuck_and_not_idle(tmp_path: Path) -> None:
    calls = [asked(0, f"help {number}") for number in range(3)]
    session(tmp_path, "asks", [*calls, stated(0, "n = 4", "4", "arithmetic-slip")])
    session(tmp_path, "shrugs", [asked(0, "dunno") for _ in range(3)])
    assert [(row["code"], row["kind"]) for row in read(tmp_path)["see_first"]] == [
        ("asks", "stuck"), ("shrugs", "little"),
    ]  # fmt: skip


def test_who_only_ever_asks_for_help_is_stuck_and_not_idle(tmp_path: Path) -> None:
    """Two requests on each of three equations, then on to the next: at no question long, and no step at all."""
    each = [[asked(task, "hint", "hint"), asked(task, f"help {task}", "hint"), {"task": task, "event": "skip"}]
            for task in range(3)]  # fmt: skip
    session(tmp_path, "asks", [turn for turns in each for turn in turns])
    (row,) = read(tmp_path)["see_first"]
    assert (row["kind"], row["said"]) == ("stuck", "help 0")
    assert row["why"] == "Asked for help 6 times, most at what to do to both sides, with 0 steps or answers besides"


def test_of_numbers_put_forward_one_after_another_none_is_an_idea_where_a_slip_says_as_much(tmp_path: Path) -> None:
    both = ("one-side-only", "arithmetic-slip")
    guess = [stated(task, "n = 6", "6", *both) for task in (0, 1)]
    session(tmp_path, "a", [guess[0], stated(0, "n = 13", "13"), guess[1], stated(1, "n = 14", "14")])
    session(tmp_path, "b", [guess[0], wrong(0, "4n = 6"), guess[1]])
    assert [row["patterns"] for row in read(tmp_path)["learners"]] == [[], ["one-side-only"]]


def test_an_idea_is_mended_on_equations_of_no_stage_that_leave_room_for_it() -> None:
    seen = [Instance("a", "f", 1, 10, f"{n}(n + 4) = 18", "", "", ("partial-distribution",), number=n) for n in (2, 3)]
    since = [Tried(0, text, "", place + 4, mark=Mark(0, True, True)) for place, text in enumerate(
        ("3(2n + 1) = 33", "5(n + 5) + n = 31", "2(n - 7) + 1 = 7"))]  # fmt: skip
    room = Learner("a", tried={("l", one.number): one for one in since}, errors=seen)
    none = Learner("a", tried={("l", n): Tried(0, "n + 3 = 9", "", n, mark=Mark(0, True, True)) for n in (4, 5, 6)})
    for learner, mended in ((room, True), (none, False)):
        learner.again = {"partial-distribution": seen}
        assert [idea.mended for idea in ideas(learner)] == [mended]


def test_numbers_tried_out_are_no_errors(tmp_path: Path) -> None:
    session(tmp_path, "a", [tried(task, number) for task in (0, 1, 2) for number in (10, 11, 12)])
    page = read(tmp_path)
    assert (page["errors"], page["groups"], page["learners"][0]["patterns"]) == ([], [], [])


def test_an_idea_is_seen_though_numbers_are_tried_out_after_it(tmp_path: Path) -> None:
    first = [stated(0, "n = 48", "48", "subtract-coefficient"), stated(1, "n = 78", "78", "subtract-coefficient")]
    session(tmp_path, "a", [first[0], tried(0, 50), tried(0, 51), first[1], tried(1, 80), tried(1, 81)])
    assert read(tmp_path)["learners"][0]["patterns"] == ["subtract-coefficient"]


def test_the_smallest_wrong_step_is_quoted_not_the_answer_after_it(tmp_path: Path) -> None:
    whole = stated(3, "n = 24", "so n is 24", "subtract-coefficient")
    line = stated(0, "n = 48", "48", "subtract-coefficient")
    after = stated(0, "n = 47", "or is it 47", "subtract-coefficient")
    session(tmp_path, "a", [whole, line, after])
    for row in (read(tmp_path)["see_first"][0], read(tmp_path)["groups"][0]["evidence"][0]):
        assert (row["line"], row["said"]) == (EQUATIONS[0], "48")


def test_two_explanations_are_both_said_until_they_are_told_apart(tmp_path: Path) -> None:
    both = ("multiply-instead-of-divide", "same-operation")
    session(tmp_path, "a", [stated(task, "n = 208", "n = 208", *both) for task in (0, 1)])
    (group,) = read(tmp_path)["groups"]
    assert group["error"] == both[0]
    assert [(each["error"], each["learners"]) for each in group["or"]] == [(both[1], ["a"])]
    assert "or: repeats the operation" in read(tmp_path)["see_first"][0]["why"]


def test_slips_of_arithmetic_make_no_group(tmp_path: Path) -> None:
    session(tmp_path, "a", [wrong(task, "n = 14", "arithmetic-slip") for task in range(4)])
    page = read(tmp_path)
    assert (page["groups"], page["learners"][0]["patterns"], page["learners"][0]["slips"]) == ([], [], 4)


def test_a_mended_idea_leaves_the_groups_and_shows_as_mended(tmp_path: Path) -> None:
    session(tmp_path, "a", [wrong(0, "48"), wrong(1, "78")])
    session(tmp_path, "a", [solved(0), solved(1)])
    assert [row["learners"] for row in read(tmp_path)["groups"]] == [["a"]]  # two right are not enough
    session(tmp_path, "a", [solved(0)])
    page = read(tmp_path)
    assert (page["groups"], page["learners"][0]["patterns"]) == ([], [])
    assert page["learners"][0]["mended"] == [error_table()["subtract-coefficient"].name]


def test_a_call_for_help_is_not_unsure_what_was_said(tmp_path: Path) -> None:
    stuck = {"event": "doubtful", "said": "i'm stuck", "meaning": {"act": "say", "what": "stuck"}}
    session(tmp_path, "a", [stuck, {"event": "doubtful", "said": "minus four"}])
    assert [row["said"] for row in read(tmp_path)["unsure"]] == ["minus four"]


@pytest.mark.parametrize("error", sorted(set(error_table()) - ARITHMETIC))
def test_every_error_but_slips_has_a_belief_and_what_to_do(error: str) -> None:
    belief = beliefs()[error]
    shown = [read_equation(text) for text in belief.contrast]
    assert shown[0] != shown[1]
    assert len(belief.board) == 3 and len(set(belief.board)) == 3
    assert "[" in belief.teaching or "common practice, no source" in belief.teaching
    no_value = {"divide-by-unknown", "divide-by-zero", "solution-refused", "running-equals"}  # end in no one number
    assert error in no_value or any(error in wrong_answers(equation) for equation in shown)


def test_no_belief_is_of_an_error_that_is_not() -> None:
    assert set(beliefs()) == set(error_table()) - ARITHMETIC


def test_who_is_named_by_an_idea_of_an_earlier_lesson_is_not_everybody_else(tmp_path: Path) -> None:
    on("2026-09-07", session(tmp_path, "ann", [wrong(0, "n is 48"), wrong(1, "n is 78")]))
    on("2026-09-08", session(tmp_path, "ann", [solved(2)]))
    on("2026-09-08", session(tmp_path, "bob", [solved(2)]))
    shown = chattutor("review", tmp_path).stdout
    assert "ann: 4n = 52 then “n is 48”" in shown and "Everybody else (1)\n  bob\n" in shown
