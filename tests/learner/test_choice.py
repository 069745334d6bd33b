"""The policy, one rule a test, and properties over any history."""

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from dialogue.learner.choice import Now, TaskChoice, ahead, choose, next_task
from dialogue.learner.history import Attempt, History
from dialogue.learner.mastery import placement, standing

PLACED_AT_1: History = (
    Attempt(6, False, purpose="place"),
    Attempt(3, False, purpose="place"),
    Attempt(1, False, purpose="place"),
)
RIGHT, WRONG = True, False


def placed(*answers: bool) -> tuple[History, list[int]]:
    """A pre-check answered like this, for as long as it goes on; the stages it asked."""
    history: History = ()
    asked = []
    for right in answers:
        choice = choose(history, Now())
        assert choice is not None
        if choice.purpose != "place":
            break
        asked.append(choice.stage)
        history = (*history, Attempt(choice.stage, right, purpose="place"))
    return history, asked


def practised(history: History, stage: int, *answers: bool, varied: bool = True, **more: object) -> History:
    """More attempts of a stage, every second one a variation."""
    return (
        *history,
        *(
            replace(Attempt(stage, right, variation=varied and place % 2 == 1), **more)  # type: ignore[arg-type]
            for place, right in enumerate(answers)
        ),
    )


def test_a_newcomer_who_gets_everything_wrong_is_asked_two_and_begins_at_the_first_stage() -> None:
    history, asked = placed(WRONG, WRONG, WRONG, WRONG, WRONG)
    assert asked == [3, 1]
    assert placement(history) == 1
    assert choose(history, Now()) == TaskChoice(1, "practice", "going on")


def test_a_learner_who_gets_everything_right_begins_at_the_last_stage() -> None:
    history, asked = placed(RIGHT, RIGHT, RIGHT, RIGHT, RIGHT)
    assert asked == [3, 9, 12, 14, 15]
    assert placement(history) == 16


def test_a_prompted_success_in_the_pre_check_is_no_success() -> None:
    assert placement((Attempt(6, True, "prompted", purpose="place"),)) == 1


def test_the_pre_check_finds_the_edge() -> None:
    history, asked = placed(RIGHT, WRONG, RIGHT, WRONG)
    assert asked == [3, 9, 6, 7]
    assert placement(history) == 7


def test_the_pre_check_takes_five_minutes_at_most() -> None:
    history = (Attempt(3, True, purpose="place"), Attempt(9, False, purpose="place"))
    assert choose(history, Now(minutes=4.9)) == TaskChoice(6, "place", "placing")
    assert choose(history, Now(minutes=5)) == TaskChoice(4, "practice", "going on")
    again = choose(history, Now(lesson=2, day=1, minutes=0))  # broken off, it is resumed in the next lesson
    assert again == TaskChoice(6, "place", "placing")


def test_equations_that_somebody_chose_show_where_to_go_on() -> None:
    """Else every learner of a class whose teacher sets the equations would be told the same."""
    lesson = Now(lesson=2)
    assert choose(practised((), 6, RIGHT, RIGHT, purpose="asked"), lesson) == TaskChoice(7, "practice", "going on")
    mixed = (*practised((), 3, RIGHT, RIGHT, purpose="asked"), *practised((), 6, WRONG, WRONG, purpose="asked"))
    assert choose(mixed, lesson) == TaskChoice(5, "place", "placing")  # between the two, from just below what failed
    one = practised((), 6, RIGHT, purpose="asked")
    assert choose(one, lesson) == TaskChoice(6, "place", "placing")  # one says little, but where to ask
    further = practised(one, 7, RIGHT, purpose="asked")  # and two of different stages speak for the first
    assert choose(further, lesson) == TaskChoice(7, "practice", "going on")
    assert choose(practised((), 2, WRONG, WRONG, purpose="asked"), lesson) == TaskChoice(1, "place", "placing")


def test_after_the_pre_check_comes_the_stage_in_hand() -> None:
    history = (Attempt(3, True, purpose="place"), Attempt(5, False, purpose="place"), Attempt(4, True, purpose="place"))
    assert choose(history, Now()) == TaskChoice(5, "practice", "going on")


def test_a_lesson_of_many_equations_ends_before_its_time() -> None:
    history = practised(PLACED_AT_1, 1, *[RIGHT, WRONG] * 6, RIGHT, varied=False)
    end = choose(history, Now(minutes=3))
    assert end is not None and end.purpose == "exit"


def test_a_teacher_may_ask_for_another_length() -> None:
    history = practised(PLACED_AT_1, 1, RIGHT, RIGHT)
    for now in (Now(minutes=10, length=10), Now(minutes=31, length=30)):
        end = choose(history, now)
        assert end is not None and end.purpose == "exit"
    later = choose(history, Now(minutes=29, length=30))
    assert later is not None and later.purpose == "practice"
    failed = (*history, Attempt(1, False))
    assert choose(failed, Now(minutes=16.9, length=10)) == TaskChoice(1, "last", "ending on a success")
    long_over = choose(failed, Now(minutes=17, length=10))
    assert long_over is not None and long_over.purpose == "exit"


def test_three_unaided_successes_with_a_variation_move_on() -> None:
    history = practised(PLACED_AT_1, 1, RIGHT, RIGHT, RIGHT)
    assert standing(history).frontier == 2


def test_three_successes_without_a_variation_ask_for_one() -> None:
    history = practised(PLACED_AT_1, 1, RIGHT, RIGHT, RIGHT, varied=False)
    assert standing(history).frontier == 1
    assert choose(history, Now()) == TaskChoice(1, "practice", "a variation", variation=True)


def test_a_failure_or_prompted_work_begins_the_run_again() -> None:
    assert standing(practised(PLACED_AT_1, 1, RIGHT, RIGHT, WRONG, RIGHT)).frontier == 1
    prompted = practised(practised(PLACED_AT_1, 1, RIGHT, RIGHT), 1, RIGHT, help="prompted")
    assert standing(prompted).stages[1].run == 0


def test_two_failures_go_back_to_the_model_and_the_stage_below_then_on_again() -> None:
    placed_at_4 = (Attempt(3, True, purpose="place"), Attempt(4, False, purpose="place"))
    history = practised(placed_at_4, 4, WRONG, WRONG)
    assert choose(history, Now()) == TaskChoice(3, "model", "two failures", model=4)
    then = (*history, Attempt(3, True, purpose="model"))
    assert choose(then, Now()) == TaskChoice(4, "practice", "going on")


def test_every_third_equation_is_of_an_earlier_stage() -> None:
    history = practised(PLACED_AT_1, 1, RIGHT, RIGHT, RIGHT)
    choice = choose(history, Now())
    assert choice == TaskChoice(1, "earlier", "an earlier stage")
    history = (*history, Attempt(1, True, purpose="earlier"))
    assert choose(history, Now()) == TaskChoice(2, "practice", "going on")
    history = practised(history, 2, RIGHT, RIGHT)
    assert choose(history, Now()) == TaskChoice(1, "earlier", "an earlier stage")


def test_an_earlier_stage_that_fails_is_asked_once_more_and_reopened_if_it_fails_again() -> None:
    history = (*practised(PLACED_AT_1, 1, RIGHT, RIGHT, RIGHT), Attempt(1, False, purpose="earlier"))
    assert choose(history, Now()) == TaskChoice(1, "earlier", "a slip, or lost?")
    assert standing((*history, Attempt(1, True, purpose="earlier"))).frontier == 2
    assert standing((*history, Attempt(1, False, purpose="earlier"))).frontier == 1


def test_a_passed_stage_comes_back_next_lesson_in_a_week_and_in_a_month() -> None:
    history = practised(PLACED_AT_1, 1, RIGHT, RIGHT, RIGHT, day=0)
    back = TaskChoice(1, "return", "coming back")
    assert choose(history, Now(lesson=1, day=0)) != back
    assert choose(history, Now(lesson=2, day=2)) == back
    history = (*history, Attempt(1, True, purpose="return", lesson=2, day=2))
    assert choose(history, Now(lesson=3, day=6)) != back
    assert choose(history, Now(lesson=3, day=7)) == back
    history = (*history, Attempt(1, True, purpose="return", lesson=3, day=7))
    assert choose(history, Now(lesson=4, day=29)) != back
    assert choose(history, Now(lesson=4, day=30)) == back
    history = (*history, Attempt(1, True, purpose="return", lesson=4, day=30))
    assert choose(history, Now(lesson=5, day=300)) != back


def test_a_lesson_ends_on_a_success_and_then_one_equation_without_hints() -> None:
    history = practised(PLACED_AT_1, 1, RIGHT, RIGHT, RIGHT)
    failed = practised(history, 2, WRONG)
    early = choose(failed, Now(minutes=14.9))
    assert early is not None and early.purpose == "earlier"
    assert choose(failed, Now(minutes=15)) == TaskChoice(1, "last", "ending on a success")
    eased = (*failed, Attempt(1, True, purpose="last"))
    assert choose(eased, Now(minutes=17)) == TaskChoice(2, "exit", "without hints")
    assert choose((*eased, Attempt(2, False, purpose="exit")), Now(minutes=18)) is None
    assert choose((*eased, Attempt(2, False, purpose="exit")), Now(lesson=2, day=1)) is not None


def test_a_lesson_that_finds_no_success_ends_all_the_same() -> None:
    choice = choose(practised(PLACED_AT_1, 1, WRONG), Now(minutes=22))
    assert choice is not None and choice.purpose == "exit"


def test_the_equation_chosen_has_not_been_met_and_is_a_variation_when_one_is_due() -> None:
    choice = TaskChoice(6, "practice", "a variation", variation=True)
    first = next_task(choice, (), seed=4)
    again = next_task(choice, {first.equation.text()}, seed=4)
    assert first.is_variation and again.is_variation and first.equation != again.equation
    assert next_task(choice, (), seed=4) == first


ATTEMPTS = st.builds(
    Attempt,
    st.integers(1, 15),
    st.booleans(),
    st.sampled_from(["independent", "prompted", "shown"]),
    st.booleans(),
    st.sampled_from(["place", "practice", "earlier", "return", "model", "last", "exit"]),
    st.integers(1, 4),
    st.integers(0, 60),
)


@settings(max_examples=200, deadline=None)
@given(st.lists(ATTEMPTS, max_size=40), st.integers(1, 5), st.floats(0, 30))
def test_any_history_has_an_answer_within_the_stages(attempts: list[Attempt], lesson: int, minutes: float) -> None:
    history = tuple(sorted(attempts, key=lambda attempt: (attempt.lesson, attempt.day)))
    choice = choose(history, Now(lesson, 60, minutes))
    assert choice is None or 1 <= choice.stage <= 15
    assert choice == choose(history, Now(lesson, 60, minutes))


def test_success_in_the_pre_check_moves_on_and_is_not_sent_back_far() -> None:
    """Five right: nothing comes from far below for the rest of the lesson, whatever is asked next."""
    history, asked = placed(RIGHT, RIGHT, RIGHT, RIGHT, RIGHT)
    assert asked == [3, 9, 12, 14, 15]
    for minutes in range(3, 14):
        choice = choose(history, Now(minutes=minutes))
        assert choice is not None and choice.stage >= 11, choice
        history = (*history, Attempt(choice.stage, True, variation=choice.variation, purpose=choice.purpose))


def test_later_the_stages_placed_past_come_back_nearest_first() -> None:
    history, _ = placed(RIGHT, RIGHT, RIGHT, WRONG, WRONG)
    assert placement(history) == 13
    assert choose(history, Now(lesson=2, day=8)) == TaskChoice(12, "return", "coming back")


def test_a_wish_moves_one_stage_up_or_down() -> None:
    history = practised((Attempt(3, True, purpose="place"), Attempt(4, False, purpose="place")), 4, RIGHT)
    assert choose(history, Now(wish="harder", at=4)) == TaskChoice(5, "practice", "harder")
    assert choose(history, Now(wish="easier", at=4)) == TaskChoice(3, "earlier", "easier")
    assert choose(PLACED_AT_1, Now(wish="easier", at=1)) == TaskChoice(1, "practice", "easier")
    top = placed(RIGHT, RIGHT, RIGHT, RIGHT, RIGHT)[0]
    assert choose(top, Now(wish="harder", at=15)) == TaskChoice(15, "practice", "harder", variation=True)


def test_a_harder_one_that_succeeds_is_gone_on_from_and_one_that_fails_is_not() -> None:
    history = practised((Attempt(3, True, purpose="place"), Attempt(4, False, purpose="place")), 4, RIGHT)
    assert choose((*history, Attempt(6, True)), Now()) == TaskChoice(6, "practice", "going on")
    back = choose((*history, Attempt(6, False), Attempt(3, True, purpose="earlier")), Now())
    assert back == TaskChoice(4, "practice", "going on")
    passed = practised(history, 6, RIGHT, RIGHT, RIGHT)
    assert standing(passed).stages[5].passed and standing(passed).frontier == 4  # four was tried, five was not


def test_a_wish_for_harder_in_the_pre_check_is_taken_at_its_word() -> None:
    assert choose((), Now(wish="harder", at=3)) == TaskChoice(9, "place", "placing")
    assert choose((), Now(wish="easier", at=3)) == TaskChoice(3, "place", "placing")


def test_whoever_works_at_two_steps_goes_on_with_two_steps() -> None:
    """Whatever is due, and whether a teacher chose the equations or the tutor did."""
    lesson = Now(lesson=2, day=9)
    alone = practised((), 6, WRONG, RIGHT, purpose="asked")
    assert [each.stage for each in ahead(alone, lesson, 5)] == [5, 6, 6, 5, 7]  # three right in a row, then on
    failed = practised((), 6, WRONG, WRONG, purpose="asked")
    assert [each.stage for each in ahead(failed, lesson, 5)] == [5, 6, 6, 5, 6]
    assert [each.stage for each in ahead(practised((), 6, RIGHT, purpose="asked"), lesson, 5)] == [6] * 5
    chosen = placed(RIGHT, WRONG, RIGHT, WRONG)[0]  # to two steps with division; five stages are due
    assert [each.stage for each in ahead(chosen, lesson, 5)] == [6, 7, 7, 5, 7]


def test_what_is_ahead_of_somebody_who_has_passed_everything_is_what_was_passed() -> None:
    everything = placed(RIGHT, RIGHT, RIGHT, RIGHT, RIGHT)[0]
    assert len(ahead(everything, Now(lesson=2, day=40), 5)) == 5
    assert ahead((), Now(), 5) == [TaskChoice(3, "place", "placing")] * 5
    broken_off = (Attempt(3, True, purpose="place"),)
    assert ahead(broken_off, Now(lesson=2), 5) == [TaskChoice(4, "place", "placing")] * 5


def test_the_next_equation_has_another_answer_than_the_last() -> None:
    choice = TaskChoice(3, "practice", "going on")
    first = next_task(choice, (), seed=4)
    other = next_task(choice, (), seed=4, unlike=first.solution)
    assert other.solution != first.solution


def test_whoever_solved_two_of_a_stage_and_one_further_on_has_passed_it() -> None:
    two = (Attempt(6, True), Attempt(6, True))
    assert not standing(two).stages[6].passed
    moved_on = standing((*two, Attempt(7, True)))
    assert moved_on.stages[6].passed and moved_on.stages[5].placed and moved_on.frontier == 7
    assert not standing((Attempt(6, True), Attempt(7, True))).stages[6].passed
    assert not standing((*two, Attempt(7, False))).stages[6].passed
