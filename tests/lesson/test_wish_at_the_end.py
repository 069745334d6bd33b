"""A wish for a harder equation, said with the end of one: it is given, even past the time; or, where there is no time
at all, put off in words."""

from dialogue.algebra.equation import read_equation
from dialogue.learner.choice import Now, choose
from dialogue.learner.history import Attempt
from dialogue.turn_record import Given
from dialogue.tutor import give
from dialogue.tutor.core.state import Plan, Task, Turn, Utterance
from dialogue.tutor.session import begin, step

FADED = (("operations", 4), ("first", 2))
DONE = (Attempt(3, True, purpose="practice"), Attempt(3, True, purpose="exit"))


def _solved(said: str) -> Turn:
    turn = begin(Plan((Task(read_equation("x/4 = 5"), 3),), 1, FADED, open=True))
    for text in ("times 4 so x = 20", said):
        turn = step(turn.state, Utterance(text))
    return turn


def test_a_wish_beside_the_last_value_goes_with_the_next_choice() -> None:
    turn = _solved("5. can we do a harder one")
    assert turn.state.phase == "between" and turn.state.wish == "harder"
    given = give(turn.state, Task(read_equation("3x + 2 = 14"), 4), Given())
    assert given.replies[0].key == "wish harder" and given.state.wish is None


def test_a_lesson_past_its_time_goes_on_where_more_is_wished_for() -> None:
    assert choose(DONE, Now(minutes=17)) is None
    choice = choose(DONE, Now(minutes=17, wish="harder", at=3))
    assert choice is not None and (choice.stage, choice.purpose, choice.reason) == (4, "practice", "harder")
    more = choose((*DONE, Attempt(4, True, purpose="practice")), Now(minutes=18))
    assert more is not None and more.purpose == "exit"


def test_but_not_for_ever() -> None:
    assert choose(DONE, Now(minutes=60, wish="harder", at=3)) is None
    ended = give(_solved("5. can we do a harder one").state, None, Given())
    assert ended.state.phase == "done" and ended.replies[0].key == "wish next time"
