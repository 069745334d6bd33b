"""What is in a session log: acts beside the words, no key spelt elsewhere, every kind through every exporter."""

import ast
import json
from pathlib import Path
from typing import get_args

import msgspec
import pytest
from logs import add, answered, log_of, plan, said
from processes import ROOT, chattutor
from school import DEMO

from chattutor.exchange.packed_rows import rows_of
from chattutor.exchange.xapi import statements
from chattutor.review.learner_page import VALUES, learner_page
from chattutor.session_logs.digest import digest, quick
from chattutor.session_logs.notes import Notes
from chattutor.session_logs.reader import Session, read_session
from chattutor.session_logs.rejudge import changes
from chattutor.session_logs.replay import replay
from chattutor.session_logs.saved import meant_by
from chattutor.session_logs.transcript import transcript
from chattutor.session_logs.turn_kinds import TurnKind, is_right, kind_of
from dialogue import turn_record
from dialogue.turn_record import Record
from dialogue.tutor.core.events import KINDS, EventKind

OLD = sorted((Path(__file__).parent / "schema_1").glob("*.jsonl"))
LINE = "3*x + 2 = 14"
TASKS = plan(tasks=[{"equation": "3x + 2 = 14", "stage": 6}])
MOVE = {"act": "move", "operation": "subtract", "operand": "2", "sides": "both"}


def one_of(folder: Path, event: str) -> Session:
    """A session of one turn with this event; a step, where it is one, was judged right."""
    usual = {"task": 0, "stage": 6, "phase": "move", "line": LINE, "level": "independent", "event": event}
    judged = {"step": MOVE, "balanced": True, "closer": True} if kind_of(event) == "step" else {}
    log = log_of(folder, "a", TASKS)
    add(log, {"event": "begin"})
    add(log, usual | judged, said("two off", meaning=MOVE))
    log.close()
    return read_session(log.path)


@pytest.mark.parametrize("event", KINDS)
def test_every_event_goes_through_every_exporter(event: EventKind, tmp_path: Path) -> None:
    session = one_of(tmp_path, event)
    kind: TurnKind = kind_of(event)
    verbs = [each["verb"]["display"]["en"] for each in statements(session)]
    expected = {"step": ["answered"], "question": ["asked"], "answer": ["answered"] * (is_right(event) is not None)}
    assert verbs == expected.get(kind, [])
    given, answer = (row for row in rows_of(session.path.parent) if row.get("place") is not None)
    assert (given["equation"], answer["event"], answer["said"]) == ("3x + 2 = 14", event, "two off")
    (turn,) = learner_page("a", [session], Notes())["sessions"][0]["turns"]
    assert (turn["event"], turn["heard"]) == (event, "two off")
    assert (turn["judgement"] != "") == (kind == "step" or event in VALUES)
    assert digest(session) == quick(session.path)
    assert ("u" in "".join(seen.kinds for seen in digest(session).seen)) == (kind == "unsure")
    assert "Learner: two off" in list(transcript(session))


def test_every_answer_that_is_right_or_wrong_has_its_word_for_a_teacher() -> None:
    told = {event for event in KINDS if kind_of(event) == "answer" and is_right(event) is not None}
    assert told - set(VALUES) == {"slip found", "slip missed", "term unknown"}  # a game, and a question asked again


def test_four_questions_are_four_statements(tmp_path: Path) -> None:
    """The very session in which two of four were lost."""
    (tmp_path / "set.txt").write_text("3x + 2 = 14\n", encoding="utf-8")
    asked = "check\nwhat can i say\nhint\nwhere are we\nstop\n"
    words = ("lesson", "--equations", tmp_path / "set.txt", "--logs", tmp_path / "logs", "--seed", "1")
    assert chattutor(*words, given=asked).returncode == 0
    lines = chattutor("logs", "xapi", tmp_path / "logs").stdout.splitlines()
    found = [json.loads(line)["result"]["response"] for line in lines]
    session = read_session(next((tmp_path / "logs").rglob("*.jsonl")))
    assert found == [record.event for _, record in answered(session)][:4] and len(found) == 4
    assert (found[0], *found[2:]) == ("check", "hint", "progress")


@pytest.mark.parametrize("path", sorted(DEMO.glob("*.jsonl")), ids=lambda path: path.stem)
def test_acts_are_kept_and_replay_needs_no_words(path: Path, tmp_path: Path) -> None:
    """With every word of the learner's taken out the tutor says the same: a better interpreter changes no session."""
    session = read_session(path)
    assert all(turn.said is None or turn.said.acts is not None for turn in session.turns)
    for turn in session.turns:
        assert turn.said is None or meant_by(turn.said, "x") is None or turn.said.acts
    mute = [
        msgspec.structs.replace(turn, said=turn.said and msgspec.structs.replace(turn.said, text="?"))
        for turn in session.turns
    ]
    again = list(replay(Session(path, session.header, tuple(mute), session.end), tmp_path))
    assert [each.turn.replies for each in again] == [each.turn.replies for each in replay(session, path.parent)]
    assert len(again) == len(session.turns)


def test_judging_again_says_what_would_be_understood_otherwise(tmp_path: Path) -> None:
    (tmp_path / "set.txt").write_text("3x + 2 = 14\n", encoding="utf-8")
    words = ("lesson", "--equations", tmp_path / "set.txt", "--logs", tmp_path / "logs", "--seed", "1")
    assert chattutor(*words, given="subtract 2 from both sides\nhint\nstop\n").returncode == 0
    session = read_session(next((tmp_path / "logs").rglob("*.jsonl")))
    assert list(changes(session, tmp_path / "logs")) == []
    turns = list(session.turns)
    moved = turns[1].said
    assert moved is not None and moved.acts == (MOVE,)
    turns[1] = msgspec.structs.replace(turns[1], said=msgspec.structs.replace(moved, text="hint"))
    (change,) = changes(Session(session.path, session.header, tuple(turns), session.end), tmp_path / "logs")
    assert (change.turn, change.text) == (1, "hint")
    assert change.changed == {"acts": ([MOVE], [{"act": "ask", "for": "hint"}])}


@pytest.mark.parametrize("path", OLD, ids=lambda path: path.stem)
def test_logs_of_schema_1_still_read(path: Path) -> None:
    """Logs that an earlier version wrote: sound, replayed from their words, exported, digested."""
    session = read_session(path)
    assert session.sound and session.header is not None and session.header.schema == 1
    assert all(turn.said is None or turn.said.acts is None for turn in session.turns)
    assert quick(path) == digest(session) and digest(session).turns == len(answered(session))
    assert list(statements(session))
    again = list(replay(session, path.parent))
    assert len(again) == len(session.turns) > 5


def test_every_kind_of_record_is_of_the_union() -> None:
    found = {each for each in vars(turn_record).values() if isinstance(each, type) and issubclass(each, msgspec.Struct)}
    tagged = {each for each in found if each.__struct_config__.tag is not None}
    assert tagged == set(get_args(Record))


RECORDS = {"record", "said", "header", "settings", "plan", "continues", "judged", "kept"}
ACTS = {"act", "acts", "step", "rivals", "held", "taken_back"}


def test_no_key_of_a_record_is_spelt_outside_the_schema() -> None:
    """By name: nothing called a record, a kept act, or a part of one, is asked for a literal key."""
    found = []
    for path in sorted(path for room in ("chattutor", "dialogue") for path in (ROOT / room).rglob("*.py")):
        name = path.relative_to(ROOT).as_posix()
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            match node:
                case (
                    ast.Subscript(value=value, slice=ast.Constant(value=str()))
                    | ast.Call(
                        func=ast.Attribute(value=value, attr="get" | "pop"), args=[ast.Constant(value=str()), *_]
                    )
                ):
                    if ast.unparse(value).rpartition(".")[2] in RECORDS | ACTS:
                        found.append(f"{name}:{node.lineno}: {ast.unparse(node)}")
                case ast.Match(cases=cases):
                    for key in (key for case in cases for key in _keys(case.pattern)):
                        if key == "act" and name != "dialogue/acts.py":
                            found.append(f"{name}:{node.lineno}: case {key}")
    assert found == []


def _keys(pattern: ast.pattern) -> list[object]:
    """The literal keys of a mapping pattern, in it and below."""
    return [
        key.value
        for each in ast.walk(pattern)
        if isinstance(each, ast.MatchMapping)
        for key in each.keys
        if isinstance(key, ast.Constant)
    ]
