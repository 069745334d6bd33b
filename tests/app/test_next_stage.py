"""What a learner's own logs say that the choice of the next equation needs."""

from pathlib import Path

from test_review import session, solved, wrong

from chattutor.lesson.next_stage import Past, next_choice, past, past_of
from chattutor.logs.folder import sessions
from dialogue.learner.choice import Choice


def test_a_newcomer_has_no_past(tmp_path: Path) -> None:
    session(tmp_path, "other", [solved(0), solved(1), solved(2)])
    assert past_of(tmp_path, "new") == past_of(tmp_path / "none", "new") == Past()
    assert next_choice([]) is None


def test_what_was_asked_for_is_no_placement(tmp_path: Path) -> None:
    session(tmp_path, "a", [wrong(0, "n = 48"), solved(0), solved(1)])
    found = past_of(tmp_path, "a")
    assert [(each.stage, each.right, each.purpose) for each in found.history] == [
        (3, False, "asked"),
        (3, True, "asked"),
    ]
    assert (found.lessons, found.scene) == (1, False)
    assert next_choice(list(sessions(tmp_path))) == Choice(3, "place", "placing")


def test_what_cannot_be_read_counts_for_nothing(tmp_path: Path) -> None:
    (tmp_path / "a").mkdir()
    (tmp_path / "a" / "x.jsonl").write_text('{"chattutor":"session"}\n', encoding="utf-8")
    session(tmp_path, "a", [{"task": "x", "event": [3], "level": [], "errors": "no", "balanced": 3}])
    assert past_of(tmp_path, "a").history == ()


def test_the_lesson_going_on_is_not_past(tmp_path: Path) -> None:
    path = session(tmp_path, "a", [solved(0)])
    (one,) = sessions(tmp_path)
    assert one.header is not None and path == one.path
    assert past([one], one.header.id) == Past()
    assert past([one]).lessons == 1
