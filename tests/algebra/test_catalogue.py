"""The table of errors: complete, cited, and asking as a tutor asks."""

import re
import string

import pytest

from dialogue.algebra.misconceptions import ErrorEntry, error_table
from dialogue.algebra.misconceptions.discriminate import asked
from dialogue.algebra.misconceptions.rules import LINE_RULES, RESULT_RULES

COMMON = {
    "same-operation", "one-side-only", "opposite-on-other-side", "transfer-without-sign-change",
    "subtract-coefficient", "reciprocal-division", "divide-one-term-only", "multiply-one-term-only",
    "combine-unlike-terms", "partial-distribution", "distribution-sign", "like-terms-sign", "sign-drop",
    "order-reversed", "multiply-instead-of-divide", "divide-instead-of-multiply", "arithmetic-slip",
    "decimal-point-slip", "zero-solution-confusion", "divide-by-unknown", "divide-by-zero",
}  # fmt: skip
IDEAS = {"inverse", "both-sides", "order", "collecting", "signs", "arithmetic", "equals", "brackets"}
PLACES = {"unknown", "term", "left", "right", "equation", "trial", "amount"}
ENTRIES = list(error_table().values())
QUESTIONS = [(entry.id, question) for entry in ENTRIES for question in entry.ask]
QUESTIONS += [(kind, asked(kind)) for kind in ("own", "facing", "line", "equation")]


def test_every_common_id_is_there() -> None:
    assert {entry.id for entry in ENTRIES if entry.listed} == COMMON


@pytest.mark.parametrize("entry", ENTRIES, ids=lambda entry: entry.id)
def test_entries_are_complete(entry: ErrorEntry) -> None:
    assert entry.name and entry.rule
    assert set(entry.did) <= {"undid", "repeated", "nothing", "moved", "took the coefficient", "rewrote", "other"}
    assert re.search(r"(from memory|\[(read|summary|memory))|\[read: name", entry.source), (
        "cited, or said to be from memory"
    )
    assert entry.idea in IDEAS
    assert entry.prior > 0 and entry.prior_by in {"cited", "choice"}
    assert len(entry.ask) == 3
    assert set(entry.applies) <= {"line", "move", "verdict", "refused line"}


def test_every_rule_has_an_entry_and_every_line_error_a_rule() -> None:
    ruled = {error for row in (*LINE_RULES, *RESULT_RULES) for error in row[0]}
    assert ruled <= set(error_table())
    without = {entry.id for entry in ENTRIES if "line" in entry.applies} - ruled
    assert without == {"zero-solution-confusion"}  # read off a line without a step: rules/unknowns.py


@pytest.mark.parametrize(("error", "question"), QUESTIONS)
def test_questions_are_short_and_give_nothing_away(error: str, question: str) -> None:
    """At most two sentences of about twelve words, the question last (the trade's rules 4, 11, 25: common practice)."""
    sentences = re.findall(r"[^.?!]+[.?!]", question)
    assert "".join(sentences) == question
    assert len(sentences) <= 2
    assert question.endswith("?")
    assert all(len(sentence.split()) <= 14 for sentence in sentences)
    assert {name for _, name, _, _ in string.Formatter().parse(question) if name} <= PLACES
    assert not re.search(r"\b(easy|easily|simple|simply|just|obvious|clever|quick|wrong)\b", question)


def test_asks_are_not_repeated_within_an_error() -> None:
    for entry in ENTRIES:
        assert len(set(entry.ask)) == 3, entry.id
