"""The stage of a lesson where nobody says: from the learner's own logs."""

from pathlib import Path

from test_review import session, solved, wrong

from chattutor.lesson.next_stage import next_stage


def test_a_newcomer_begins_at_the_beginning(tmp_path: Path) -> None:
    session(tmp_path, "other", [solved(0), solved(1), solved(2)])
    assert next_stage(tmp_path, "new") == 1
    assert next_stage(tmp_path / "none", "new") == 1


def test_a_stage_in_hand_is_gone_on_with(tmp_path: Path) -> None:
    session(tmp_path, "a", [wrong(0, "n = 48"), solved(0), wrong(1, "n = 78")])
    assert next_stage(tmp_path, "a") <= 3


def test_what_cannot_be_read_counts_for_nothing(tmp_path: Path) -> None:
    (tmp_path / "a").mkdir()
    (tmp_path / "a" / "x.jsonl").write_text('{"chattutor":"session"}\n', encoding="utf-8")
    session(tmp_path, "a", [{"task": "x", "event": [3], "level": [], "errors": "no", "balanced": 3}])
    assert next_stage(tmp_path, "a") == 1
