"""The course of a lesson: the kind that is asked for comes, checks fade, and whoever answers at once moves on.

The learners' turns are invented.
"""

from pathlib import Path

import pytest
from processes import chattutor

from chattutor.lesson.beside_the_set import MOST, beside_plan
from chattutor.lesson.plans import plan_of_file, plan_of_stage
from chattutor.lesson.task_selection import Chooser
from chattutor.session_logs.learner_history import Past
from chattutor.session_logs.reader import read_session
from chattutor.session_logs.saved import plan_of, plan_record, task_of, task_record
from dialogue.algebra.equation import read_equation
from dialogue.algebra.moves import Move
from dialogue.algebra.tree import Product, Sum, walk
from dialogue.turn_record import Given
from dialogue.tutor import begin, give, step
from dialogue.tutor.core.state import Plan, Task, Turn, Utterance


class Lesson:
    """A typed lesson with whoever gives what is beside its plan; every reply kept."""

    def __init__(self, plan: Plan) -> None:
        self._beside = beside_plan(plan)
        self.turn = begin(plan)
        self.replies: list[str] = []

    def say(self, text: str) -> str:
        """One turn, and what is given after it; the replies."""
        self.turn = step(self.turn.state, Utterance(text))
        said = list(self.turn.replies)
        while self.turn.state.phase == "between":
            state = self.turn.state
            task, why = self._beside.next(state.plan.tasks, state) if self._beside else (None, Given())
            self.turn = give(state, task, why)
            said += self.turn.replies
        self.replies = [reply.text for reply in said]
        return " ".join(self.replies)

    @property
    def equation(self) -> str:
        return self.turn.state.task.equation.text()

    @property
    def stage(self) -> int:
        return self.turn.state.task.stage

    def solve(self) -> str:
        """The answer alone; and the check, where it is asked for."""
        equation = self.turn.state.task.equation
        said = self.say(str(equation.solution().value))
        if self.turn.state.phase.startswith("check"):
            said = self.say(str(_worth(equation)))
        return said


def _worth(equation: object) -> object:
    from dialogue.algebra.equation import Equation
    from dialogue.algebra.solver import value_at
    from dialogue.algebra.tree import has_unknown

    assert isinstance(equation, Equation)
    value = equation.solution().value
    assert value is not None
    return value_at(equation.left if has_unknown(equation.left) else equation.right, value)


def _set(*equations: str, beyond: str = "extra") -> Lesson:
    return Lesson(Plan(tuple(Task(read_equation(each), 6) for each in equations), 1, beyond=beyond))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("said", "words", "stage"),
    [
        ("can we skip to brackets", "brackets", 10),
        ("give me fractions pls", "fractions", 7),
        ("can i have one with decimals", "decimals", 6),
        ("do you have ones with negative numbers?", "numbers below zero", 8),
        ("what about n on both sides", "on both sides", 11),
        ("harder please", "two steps with a division", 7),
        ("can we do easier ones", "easier", 5),
        ("can we do a different kind", "two steps with a division", 7),
        ("Is there something with two steps?", "two steps", 6),
    ],
)
def test_the_kind_asked_for_comes_at_once_where_nothing_was_begun(said: str, words: str, stage: int) -> None:
    lesson = Lesson(plan_of_stage(6, 12))
    first = lesson.equation
    assert words in lesson.say(said)
    assert lesson.stage == stage and lesson.equation != first
    assert "keeps to one kind" not in " ".join(lesson.replies)


def test_the_kind_asked_for_is_the_kind_given() -> None:
    lesson = Lesson(plan_of_stage(6, 12))
    lesson.say("brackets please")
    factors = [piece for side in lesson.turn.state.task.equation.sides() for piece in walk(side)]
    assert any(isinstance(piece, Product) and isinstance(piece.factors[1], Sum) for piece in factors)
    lesson.say("decimals instead")
    assert lesson.turn.state.task.equation.decimals and "0.6n + 0.9 = 9.3" in lesson.replies
    lesson.say("skip to negatives")
    answer = lesson.turn.state.task.equation.solution().value
    assert answer is not None and answer < 0
    lesson.say("n on both sides please")
    left, right = lesson.turn.state.task.equation.linear()
    assert left.coefficient and right.coefficient


def test_an_equation_under_way_comes_first_unless_the_learner_says_instead() -> None:
    lesson = Lesson(plan_of_stage(6, 12))
    assert lesson.equation == "6*n + 5 = 65"
    lesson.say("10")
    assert "brackets" in lesson.say("can we do brackets")
    assert lesson.equation == "6*n + 5 = 65"
    said = lesson.say("65")
    assert ("Here is one with brackets." in said or "Now one with brackets." in said) and lesson.stage == 10
    lesson.say("divide by 4")
    lesson.say("can we do fractions instead")
    assert lesson.stage == 7


def test_a_lesson_that_started_from_a_stage_goes_on_with_the_kind_wished_for_and_ends() -> None:
    lesson = Lesson(plan_of_stage(6, 12))
    lesson.say("brackets please")
    stages = [lesson.stage]
    for _ in range(MOST + 3):
        if lesson.turn.state.phase == "done":
            break
        before = lesson.turn.state.place
        if lesson.turn.state.phase == "compare":
            lesson.say("the first")
            continue
        lesson.say("hint")
        lesson.solve()
        if lesson.turn.state.place != before and lesson.turn.state.phase != "done":
            stages.append(lesson.stage)
    assert lesson.turn.state.phase == "done" and set(stages) == {10} and len(stages) >= 3


def test_a_wish_at_the_last_equation_is_given_and_the_lesson_does_not_end() -> None:
    lesson = Lesson(plan_of_stage(6, 12, count=1))
    lesson.say(str(lesson.turn.state.task.equation.solution().value))
    said = lesson.say(f"{_worth(lesson.turn.state.task.equation)}. i wanted brackets")
    assert lesson.stage == 10 and lesson.turn.state.phase != "done" and "last one" not in said


def test_a_teachers_set_is_kept_and_an_extra_one_given_beside_it() -> None:
    lesson = _set("7n + 5 = 33", "7n + 19 = 75", "2n - 19 = 9")
    assert "One extra, then back to your set." in lesson.say("can we do brackets")
    assert lesson.stage == 10
    lesson.solve()
    if lesson.turn.state.phase == "compare":
        lesson.say("the first")
    assert lesson.equation == "7*n + 5 = 33", "untouched, and so not lost"
    assert lesson.replies.count("Back to your set.") + lesson.replies.count("Now on with your set.") == 1
    lesson.solve()
    assert lesson.equation == "7*n + 19 = 75"
    for _ in range(2):
        lesson.solve()
    assert lesson.turn.state.phase == "done" and lesson.turn.state.place == len(lesson.turn.state.plan.tasks)
    assert len(lesson.turn.state.solved) == 4


def test_nobody_who_answers_at_once_is_given_a_third_of_one_kind() -> None:
    lesson = Lesson(plan_of_stage(6, 12))
    stages = []
    for _ in range(6):
        stages.append(lesson.stage)
        lesson.solve()
    assert stages == [6, 6, 7, 7, 8, 8]
    assert lesson.turn.state.phase != "done"


def test_but_a_set_that_a_teacher_chose_is_not_left_unasked() -> None:
    lesson = _set("7n + 5 = 33", "7n + 19 = 75", "2n - 19 = 9", "5n + 1 = 21")
    for left in (3, 2, 1):
        lesson.solve()
        assert len(lesson.turn.state.plan.tasks) - lesson.turn.state.place == left


def test_whoever_needs_the_steps_stays_with_the_kind() -> None:
    lesson = Lesson(plan_of_stage(6, 12))
    for _ in range(2):
        lesson.say("times, then plus")
        lesson.solve()
    assert lesson.stage == 6


def test_boredom_with_a_right_answer_brings_another_kind() -> None:
    lesson = Lesson(plan_of_stage(6, 12))
    lesson.say("10")
    said = lesson.say("65. this is boring")
    assert lesson.stage == 7 and "two steps with a division" in said
    again = Lesson(plan_of_stage(6, 12))
    again.say("10")
    assert again.say("65. the same kind again??") and again.stage == 7


def test_a_right_answer_is_put_in_for_whoever_has_checked_one() -> None:
    lesson = _set("7n + 5 = 33", "7n + 19 = 75", "2n - 19 = 9", "5n + 1 = 21", "3n + 4 = 19", "4n + 3 = 31")
    assert lesson.say("4") and lesson.turn.state.phase == "check left"
    lesson.say("33")
    assert "7 × 8 + 19 = 75: 8 fits." in lesson.say("8")
    assert "2 × 14 − 19 = 9: 14 fits." in lesson.say("14")
    assert "5 × 4 + 1 = 21: 4 fits." in lesson.say("4")
    assert "fits" not in lesson.say("5") and lesson.turn.state.phase == "check left", "about every fourth"
    lesson.say("19")
    assert "4 × 7 + 3 = 31: 7 fits." in lesson.say("7")


def test_a_wrong_answer_is_always_put_in_by_the_learner_and_so_is_the_right_one_after_it() -> None:
    lesson = _set("7n + 5 = 33", "7n + 19 = 75", "2n - 19 = 9")
    lesson.say("4")
    lesson.say("33")
    said = lesson.say("9")
    assert "fits" not in said and "Left" not in said and lesson.turn.state.phase == "check left"
    lesson.say("82")
    assert lesson.turn.state.tried == (9,)
    assert "fits" not in lesson.say("8") and lesson.turn.state.phase == "check left"


def test_whoever_protests_is_asked_for_no_check_of_a_right_answer() -> None:
    equations = [f"{a}n + 5 = {a * 4 + 5 + a}" for a in range(2, 10)]
    lesson = _set(*equations)
    lesson.say("5")
    said = lesson.say("15. why do i have to prove it every time i just did it in my head")
    assert "5 fits" in said or "n is 5" in said
    assert "From now on I do it for you." in said or "from now on I put them in for you." in said
    for _ in equations[1:]:
        assert "5 fits." in lesson.say("5")
    wrong = _set("7n + 5 = 33", "7n + 19 = 75")
    wrong.say("why do i have to check every time")
    assert "fits" not in wrong.say("6") and wrong.turn.state.phase == "check left"


def test_both_sides_are_shown_where_both_hold_the_unknown() -> None:
    lesson = _set("7n + 5 = 33", "8n + 3 = 5n + 21", "2n - 19 = 9")
    lesson.say("4")
    lesson.say("33")
    assert "8 × 6 + 3 = 51 and 5 × 6 + 21 = 51: 6 fits." in lesson.say("6")


def test_the_check_of_the_equation_before_is_no_answer_of_the_next() -> None:
    lesson = _set("7n + 5 = 33", "7n + 19 = 75", "2n - 19 = 9")
    lesson.say("4")
    lesson.say("33")
    lesson.say("8")
    said = lesson.say("75")
    assert "7 × 8 + 19" in said and "75" in said and lesson.turn.state.guess is None


def test_the_question_alone_is_asked_where_an_answer_is_put_in() -> None:
    lesson = _set("7n + 5 = 33", "7n + 19 = 75")
    lesson.say("4")
    assert len(lesson.replies) == 1 and "4" in lesson.replies[0] and lesson.replies[0].endswith("?")
    assert "Sorry" not in lesson.say("33. told you") and "misread" not in " ".join(lesson.replies)


def test_a_description_beside_an_answer_is_no_line() -> None:
    lesson = Lesson(plan_of_stage(6, 12))
    lesson.turn = begin(Plan((Task(read_equation("7n - 19 = 9"), 6),), 1, beyond="on"))
    said = lesson.say("4. n x7 -19 =9 there")
    assert lesson.turn.state.guess == 4 and "no nearer" not in said


def _placing(*texts: str) -> Turn:
    tasks = (Task(read_equation("3n = 75"), 3, purpose="place"),)
    turn = begin(Plan(tasks, 1, open=True))
    for text in texts:
        turn = step(turn.state, Utterance(text))
    return turn


def test_a_number_named_beside_the_letter_is_no_answer_and_the_pre_check_waits() -> None:
    turn = _placing("take away 3", "idk there stuck togehter. like 3 and n")
    assert turn.state.tried == () and turn.state.phase != "between"
    turn = _placing("57", "Oh dear, 171, so that is far too much. I'm sorry. Does the 3n mean 3 times n then?")
    assert turn.state.phase == "move" and turn.state.tried == (57,)
    assert "3 times n" in " ".join(reply.text for reply in turn.replies)


def test_what_a_sum_comes_to_is_no_answer_where_it_solves_nothing() -> None:
    lesson = _set("5(n + 4) = 90", "2n - 19 = 9")
    lesson.say("times 5 and plus 4")
    lesson.say("90 devide 5. its 18")
    assert lesson.turn.state.guess is None and lesson.turn.state.tried == ()


def test_a_plan_is_kept_and_read_again(tmp_path: Path) -> None:
    file = tmp_path / "set.txt"
    file.write_text("7n + 5 = 33\n2n - 19 = 9\n", "utf-8")
    for plan, beyond in (
        (plan_of_file(file, 1), "extra"),
        (plan_of_stage(6, 1), "on"),
        (Plan((Task(read_equation("n = 2")),)), ""),
    ):
        assert plan.beyond == beyond and plan_of(plan_record(plan)) == plan
    lesson = Lesson(plan_of_stage(6, 12))
    lesson.say("brackets please")
    task = lesson.turn.state.task
    assert task.wished == "brackets" and task_of(task_record(task)) == task


def test_next_in_place_of_a_check_takes_a_right_answer_and_leaves_a_wrong_one() -> None:
    lesson = _set("7n + 5 = 33", "7n + 19 = 75", "2n - 19 = 9")
    lesson.say("4")
    assert "7 × 4 + 5 = 33: 4 fits." in lesson.say("next")
    lesson.say("9")
    assert "fits" not in lesson.say("next") and lesson.turn.state.solved == (0,)


def test_the_value_of_a_side_and_at_once_another_answer_are_both_heard() -> None:
    lesson = _set("7n + 5 = 33", "7n + 19 = 75", "2n - 19 = 9")
    lesson.say("6")
    lesson.say("47. oops its 4")
    assert lesson.turn.state.tried == (6,) and lesson.turn.state.guess == 4


def test_what_is_left_without_the_number_to_be_undone_is_no_answer() -> None:
    lesson = _set("7n + 5 = 33", "7n + 19 = 75")
    lesson.say("its times 7 then plus 5")
    assert lesson.turn.state.phase == "first"
    lesson.say("so minus 5, 28, then 4")
    assert (lesson.turn.state.guess, lesson.turn.state.phase) == (4, "check left")  # and never 28


@pytest.mark.parametrize(("said", "phase"), [("times?", "first"), ("plus", "operations")])
def test_an_operation_alone_tells_of_the_number_so_joined_right_and_wrong_alike(said: str, phase: str) -> None:
    lesson = _set("7n = 28", "7n + 19 = 75")
    lesson.say(said)
    assert (lesson.turn.state.phase == "operations") == (phase == "operations")


def test_a_move_told_after_a_move_is_the_next_one() -> None:
    plan = Plan((Task(read_equation("n/6 + 9 = 16"), 7),), 1, (("operations", 4), ("first", 2)))
    lesson = Lesson(plan)
    lesson.say("n divided by 6 then plus 9. so minus 9 then times 6")
    state = lesson.turn.state
    made = [step for step in (state.pending, *state.further) if isinstance(step, Move)]
    assert [step.operation for step in made] == ["subtract", "multiply"]


def test_a_pre_check_is_not_hurried_and_a_lesson_chosen_one_by_one_moves_on() -> None:
    chooser = Chooser(Past(), 5, seconds=lambda: 0.0)
    turn = begin(chooser.plan())
    stages: list[tuple[str, int]] = []
    for _ in range(12):
        task = turn.state.task
        stages.append((task.purpose, task.stage))
        while turn.state.place == len(stages) - 1 and turn.state.phase not in {"between", "done"}:
            checking = turn.state.phase.startswith("check")
            said = str(_worth(task.equation) if checking else task.equation.solution().value)
            said = "skip" if task.purpose == "place" and task.stage > 5 else said
            turn = step(turn.state, Utterance(said))
            chooser.heard(turn.record)
        given, why = chooser.next(turn.state.plan.tasks, turn.state)
        turn = give(turn.state, given, why)
        assert task.purpose != "place" or "wish next" not in [reply.key for reply in turn.replies]
    practised = [stage for purpose, stage in stages if purpose == "practice"]
    assert practised and all(practised.count(stage) <= 2 for stage in practised if stage < 15)


def test_a_wish_said_again_or_for_now_is_followed_at_once_beside_whatever_else_is_said() -> None:
    lesson = Lesson(plan_of_stage(6, 12))
    lesson.say("9")
    assert "brackets" in lesson.say("59. i wanted brackets") and lesson.stage == 6
    assert "brackets" in lesson.say("8. i said i wanted brackets") and lesson.stage == 10
    first = lesson.equation
    assert "After this one" not in lesson.say("dunno. brackets please") and lesson.equation == first
    at_once = Lesson(plan_of_stage(6, 12))
    at_once.say("9")
    at_once.say("58. can we skip to fractions")
    assert at_once.stage == 7


def test_a_lesson_with_an_extra_one_replays_to_the_letter(tmp_path: Path) -> None:
    file = tmp_path / "set.txt"
    file.write_text("7n + 5 = 33\n4(n + 2) = 20\n3n - 4 = 11\n", "utf-8")
    typed = "brackets please\nhint\n3\n5\nn on both sides please\n5\n"
    words = ("lesson", "--plain", "--seed", "3", "--learner", "a", "--logs", tmp_path / "logs")
    done = chattutor(*words, "--equations", file, given=typed)
    assert (done.returncode, done.stderr) == (0, "")
    for log in (tmp_path / "logs").rglob("*.jsonl"):
        assert chattutor("logs", "replay", log).returncode == 0
        session = read_session(log)
        given = [turn.record.given for turn in session.turns if isinstance(turn.record, Given) and turn.record.given]
        assert given and all(task.wished for task in given)
