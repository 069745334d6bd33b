"""xAPI statements out: valid by a schema written from the specification, and saying what the log says."""

import json
from collections import Counter
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator
from logs import add, answered, log_of, said

from chattutor.exchange.xapi import HOME, duration, statements
from chattutor.session_logs.reader import read_session
from chattutor.session_logs.turn_kinds import is_right

HERE = Path(__file__).parent
DEMO = sorted((HERE.parents[1] / "transcripts_demo").glob("*.jsonl"))
VALID = Draft202012Validator(json.loads((HERE / "statement.schema.json").read_text(encoding="utf-8")))


def verb(statement: dict[str, dict[str, str]]) -> str:
    """The last part of the verb's id."""
    return statement["verb"]["id"].rpartition("/")[2]


@pytest.mark.parametrize("path", DEMO, ids=lambda path: path.stem)
def test_every_statement_of_every_invented_session_is_valid(path: Path) -> None:
    found = list(statements(read_session(path)))
    assert found
    for each in found:
        VALID.validate(json.loads(json.dumps(each)))
    assert len({each["id"] for each in found}) == len(found)


@pytest.mark.parametrize(
    "spoil",
    [
        lambda one: one["actor"].update(mbox="mailto:a@example.org"),
        lambda one: one["actor"]["account"].pop("homePage"),
        lambda one: one.update(result=None),
        lambda one: one.update(id="1"),
        lambda one: one["verb"].update(id="answered"),
        lambda one: one["result"].update(duration="35 s"),
        lambda one: one["result"].update(success="true"),
        lambda one: one.update(timestamp="2026-01-12"),
        lambda one: one["result"]["extensions"].update(help="none"),
    ],
)
def test_the_schema_refuses_what_the_specification_refuses(spoil) -> None:  # type: ignore[no-untyped-def]
    one = next(each for each in statements(read_session(DEMO[0])) if verb(each) == "answered")
    VALID.validate(one)
    spoil(one)
    assert not VALID.is_valid(one)


def test_the_statements_say_what_the_log_says() -> None:
    session = read_session(DEMO[0])
    found = list(statements(session, "https://school.example"))
    judged = {number for number, record in answered(session) if record.steps}
    checks = {number for number, record in answered(session) if is_right(record.event) is not None}
    solved = [number for number, record in answered(session) if record.solved]
    counts = Counter(map(verb, found))
    assert counts["answered"] == len(judged | checks)
    assert counts["completed"] == len(solved) + 1
    first = next(each for each in found if verb(each) == "answered")
    assert first["actor"] == {
        "objectType": "Agent", "account": {"homePage": "https://school.example", "name": "invented"},
    }  # fmt: skip
    assert first["result"]["duration"] == "PT15.00S"  # invented sessions have a turn every 15 seconds


def test_sending_a_log_twice_gives_the_same_ids() -> None:
    once, twice = ([each["id"] for each in statements(read_session(DEMO[0]))] for _ in range(2))
    assert once == twice


def test_words_of_distress_are_sent_nowhere(tmp_path: Path) -> None:
    log = log_of(tmp_path, "A1")
    add(log, {"event": "distress", "task": 0, "balanced": False}, said(withheld=True))
    log.end("stopped")
    assert list(statements(read_session(log.path))) == []


@pytest.mark.parametrize(
    ("since", "until", "seconds"),
    [
        ("2026-01-12T09:00:00.000Z", "2026-01-12T09:01:00.250Z", "PT60.25S"),
        ("2026-01-12T09:01:00.000Z", "2026-01-12T09:00:00.000Z", "PT0.00S"),  # a clock set back
        ("no time", "2026-01-12T09:00:00.000Z", "PT0.00S"),
        ("2026-01-12T09:00:00", "2026-01-12T09:00:00.000Z", "PT0.00S"),
    ],
)
def test_durations_are_those_of_iso_8601(since: str, until: str, seconds: str) -> None:
    assert duration(since, until) == seconds


def test_without_a_home_page_the_accounts_lead_nowhere() -> None:
    assert HOME.endswith(".invalid")  # RFC 2606, section 2
