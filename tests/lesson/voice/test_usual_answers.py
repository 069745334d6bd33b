"""Which of two texts that fit a sound about as well is meant: never by what would be right, but by what was asked."""

from chattutor.lesson.voice.hearing import Attention


def test_a_no_is_unusual_where_a_number_was_asked_for() -> None:
    attention = Attention()
    attention.expecting = "value"
    assert attention.usual("nine") == attention.usual("four") == attention.usual("fourteen") == 1.0
    assert attention.usual("no") < 1.0
    assert attention.usual("oh") < 1.0
    attention.expecting = "yesno"
    assert attention.usual("no") == 1.0


def test_every_number_is_as_usual_as_another() -> None:
    attention = Attention()
    attention.expecting = "move"
    assert len({attention.usual(f"subtract {number} from both sides") for number in ("two", "twelve", "sixty")}) == 1
