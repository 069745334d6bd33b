"""The invented sessions: each replays word for word, and is what its script gives; the demo plays one."""

import sys
import tomllib
from pathlib import Path

import pytest
from processes import ROOT, chattutor

from chattutor.session_logs.reader import read_session
from chattutor.session_logs.replay import replay
from chattutor.session_logs.transcript import learner_words

sys.path.append(str(ROOT / "tests"))
from transcripts import FOLDER, log_of, text_of

SCRIPTS = sorted(FOLDER.glob("*.script"))


def _name(path: Path) -> str:
    return path.stem


def test_there_is_one_of_each_kind() -> None:
    assert len(SCRIPTS) >= 10
    assert {path.stem for path in FOLDER.glob("*.jsonl")} == {path.stem for path in SCRIPTS}


@pytest.mark.parametrize("script", SCRIPTS, ids=_name)
def test_an_invented_session_replays_word_for_word(script: Path) -> None:
    session = read_session(script.with_suffix(".jsonl"))
    assert session.sound and session.header is not None and session.end is not None
    assert session.header.settings.invented
    turns = list(replay(session, FOLDER))
    for turn in turns:
        assert [reply.text for reply in turn.line.replies] == [reply.text for reply in turn.turn.replies]
        assert turn.same and (turn.line.said is None or turn.line.record == turn.turn.record)
    assert len(turns) == session.end.turns


@pytest.mark.parametrize("script", SCRIPTS, ids=_name)
def test_the_log_and_the_text_are_what_the_script_gives(script: Path) -> None:
    log = script.with_suffix(".jsonl")
    assert log.read_bytes() == log_of(script)
    assert script.with_suffix(".txt").read_text(encoding="utf-8") == text_of(log)


@pytest.mark.parametrize("script", SCRIPTS, ids=_name)
def test_the_demo_plays_it_with_nothing_asked(script: Path) -> None:
    done = chattutor("demo", script.stem)
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.startswith("A lesson with an invented learner: nobody said this")
    for turn in read_session(script.with_suffix(".jsonl")).turns:
        assert turn.said is None or f"Learner: {learner_words(turn.said)}\n" in done.stdout
        for reply in turn.replies:
            assert f"{reply.text}\n" in done.stdout


def test_the_first_is_played_where_none_is_named_and_a_wrong_name_is_one_clear_line() -> None:
    assert chattutor("demo").stdout == chattutor("demo", SCRIPTS[0].stem).stdout
    assert chattutor("demo", "--list").stdout.splitlines() == [path.stem for path in SCRIPTS]
    done = chattutor("demo", "nothing")
    assert (done.returncode, done.stdout) == (1, "")
    assert done.stderr.startswith("chattutor: There is no lesson called 'nothing'; there are: ")


def test_the_sessions_come_with_the_installed_program() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    assert "transcripts_demo*" in project["tool"]["setuptools"]["packages"]["find"]["include"]
