"""What a learner's own logs say that the choice of the next equation needs."""

from pathlib import Path

from logs import NO_PLAN
from test_review import session, solved, wrong

from chattutor.session_logs.folder import sessions
from chattutor.session_logs.learner_history import Past, coming_up, in_hand, past, past_of, sittings_by_lesson
from chattutor.session_logs.reader import Session
from chattutor.session_logs.schema import SCHEMA, Continues, Header
from dialogue.learner.choice import TaskChoice


def test_a_newcomer_has_no_past(tmp_path: Path) -> None:
    session(tmp_path, "other", [solved(0), solved(1), solved(2)])
    assert past_of(tmp_path, "new") == past_of(tmp_path / "none", "new") == Past()
    assert coming_up([], 5) == [] and in_hand([]) is None


def test_what_was_asked_for_is_no_placement(tmp_path: Path) -> None:
    session(tmp_path, "a", [wrong(0, "n = 48"), solved(0), solved(1)])
    found = past_of(tmp_path, "a")
    assert [(each.stage, each.right, each.purpose) for each in found.history] == [
        (3, False, "asked"),
        (3, True, "asked"),
    ]
    assert (found.lessons, found.scene) == (1, False)
    choices = coming_up(list(sessions(tmp_path)), 2)
    assert choices[0] == TaskChoice(2, "place", "placing")  # and then, where that goes right, what went wrong
    assert in_hand(list(sessions(tmp_path))) == choices[1] == TaskChoice(3, "practice", "going on")


def test_what_cannot_be_read_counts_for_nothing(tmp_path: Path) -> None:
    (tmp_path / "a").mkdir()
    (tmp_path / "a" / "x.jsonl").write_text('{"chattutor":"session"}\n', encoding="utf-8")
    session(tmp_path, "a", [{"task": 9, "event": "odd", "errors": ["odd"], "balanced": False}])
    assert past_of(tmp_path, "a").history == ()


def test_the_lesson_going_on_is_not_past(tmp_path: Path) -> None:
    path = session(tmp_path, "a", [solved(0)])
    (one,) = sessions(tmp_path)
    assert one.header is not None and path == one.path
    assert past([one], one.header.id) == Past()
    assert past([one]).lessons == 1


def test_sittings_are_in_order_whatever_the_clock_said() -> None:
    def sitting(name: str, created: str, before: str = "") -> Session:
        header = Header(SCHEMA, name, "a", created, "0", NO_PLAN, continues=Continues(before) if before else None)
        return Session(Path(f"{created}-{name}.jsonl"), header)

    # the clock was set back after the first sitting of "b", and again after the second
    one, two, three = sitting("b", "2026-09-03"), sitting("c", "2026-09-01", "b"), sitting("d", "2026-08-01", "c")
    earlier, copy = sitting("a", "2026-09-02"), sitting("c", "2026-09-01", "b")
    found = sittings_by_lesson([three, two, copy, earlier, one])
    assert found == {"a": [earlier], "b": [one, two, three]}
    assert list(found) == ["a", "b"]
    assert list(sittings_by_lesson([three, two, earlier, one], "d")) == ["a"]
    round_and_round = [sitting("x", "2026", "y"), sitting("y", "2026", "x")]
    assert sum(map(len, sittings_by_lesson(round_and_round).values())) == 2  # a forged circle ends
