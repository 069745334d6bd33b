"""The state table: every pair answered, every phase reached, nothing dead, the diagram drawn from it."""

from collections.abc import Callable
from dataclasses import replace
from itertools import product
from pathlib import Path
from typing import get_args

import pytest
from diagram import mermaid
from talking import PHASES, STOP, UNDO, Talk
from test_every_answer import answers, in_every_phase, where_the_unknown_goes
from test_walks import walk

from dialogue.tutor.advance import advance
from dialogue.tutor.core.events import FAMILIES, KINDS, Advanced, Event, EventKind
from dialogue.tutor.core.state import HOLDING, OPEN, State
from dialogue.tutor.interpret_in_lesson import EXPECTING
from dialogue.tutor.table import DEFAULTS, TABLE, row_for
from dialogue.verbalising.replies import wordings

BESIDE = Path(__file__).parents[2] / "dialogue/tutor/SIDE_BY_SIDE.md"
GUIDE = Path(__file__).parents[2] / "dialogue/tutor/STATES.md"
MOST_OF_A_KIND = 2
UNASKED = {(phase, kind) for phase in OPEN for kind in KINDS if (phase, kind) not in TABLE}


def test_every_pair_is_a_row_or_deliberately_none() -> None:
    for phase in PHASES:
        for kind in KINDS:
            assert callable(row_for(phase, kind).effect)
            assert (phase, kind) in TABLE or phase in DEFAULTS or phase in OPEN, (phase, kind)


def test_what_is_not_asked_is_an_answer_to_another_question() -> None:
    """Help, commands and hearing are answered in every open phase; only answers and steps can be out of place."""
    always = {"hint", "stuck", "why", "check", "progress", "repeat", "slower", "wording", "undo", "skip", "stop",
              "pause", "yes", "no", "unclear", "doubtful", "unheard", "distress", "silence", "answer", "line broken",
              "line closer", "line level", "line same", "line ends"}  # fmt: skip
    assert not {kind for _, kind in UNASKED} & always
    out_of_place = {kind for phase, kind in UNASKED if phase != "count"}
    assert not {"move closer", "move level", "move one side", "rewrite closer"} & out_of_place


def test_holding_phases_have_a_default_that_returns() -> None:
    holding = {*HOLDING, "paused"}
    assert holding <= set(DEFAULTS)
    assert all({"move", "left", "check left"} <= set(DEFAULTS[phase].next) for phase in holding)


def test_every_phase_has_a_question_and_an_expectation() -> None:
    assert set(EXPECTING) == set(PHASES)
    for phase in PHASES:
        assert phase == "done" or len(wordings()[f"ask {phase}"]) >= 2


def test_nothing_is_heard_once_done() -> None:
    talk = Talk("x + 1 = 3")
    talk.say(STOP)
    assert talk.state.phase == "done"
    before = talk.state
    turn = talk.say(UNDO)
    assert turn.replies == ()
    assert turn.state.board == before.board
    assert turn.state.phase == "done"


def test_the_diagram_names_every_phase_once() -> None:
    text = mermaid()
    for phase in PHASES:
        assert text.count(f'state "{phase}" as') == 1


def test_the_diagram_in_the_guide_is_the_one_drawn_from_the_table() -> None:
    guide = GUIDE.read_text(encoding="utf-8")
    start, end = "<!-- diagram -->", "<!-- /diagram -->"
    assert start in guide
    assert end in guide
    drawn = guide.partition(start)[2].partition(end)[0].strip()
    assert drawn == f"```mermaid\n{mermaid()}\n```"


@pytest.mark.parametrize("phase", [phase for phase in PHASES if phase != "done"])
def test_a_stop_is_always_heard(phase: str) -> None:
    assert TABLE[phase, "stop"].next == ("done",)  # type: ignore[index]


def _watched(monkeypatch: pytest.MonkeyPatch, watch: Callable[[State, Event, Advanced], None]) -> None:
    """Have every event that is taken through the table told to ``watch``."""

    def watched(state: State, event: Event) -> Advanced:
        done = advance(state, event)
        watch(state, event, done)
        return done

    monkeypatch.setattr("dialogue.tutor.advance.advance", watched)
    monkeypatch.setattr("dialogue.tutor.session.advance", watched)


def _astray(state: State, event: Event, done: Advanced) -> bool:
    return done.state.phase not in {state.phase, *row_for(state.phase, event.kind).next}


def test_a_row_leads_where_it_says_and_nowhere_else(monkeypatch: pytest.MonkeyPatch) -> None:
    """Seen in walks of every kind: the phases named in a row are all that can come next."""
    astray: set[tuple[str, str, str]] = set()

    def watch(state: State, event: Event, done: Advanced) -> None:
        if _astray(state, event, done):
            astray.add((state.phase, event.kind, done.state.phase))

    _watched(monkeypatch, watch)
    for seed in range(10):
        walk(200 + seed, 80)
    assert astray == set()


def _events(monkeypatch: pytest.MonkeyPatch) -> dict[EventKind, list[Event]]:
    """Up to two events of every kind, as they came about; what did not is one of its family by another name."""
    found: dict[EventKind, list[Event]] = {kind: [] for kind in KINDS}

    def watch(state: State, event: Event, done: Advanced) -> None:
        if event not in found[event.kind] and len(found[event.kind]) < MOST_OF_A_KIND:
            found[event.kind].append(event)

    with monkeypatch.context() as watching:
        _watched(watching, watch)
        list(answers())
    for kinds in map(get_args, FAMILIES):
        example = next(event for kind in kinds for event in found[kind])
        for kind in kinds:
            found[kind] = found[kind] or [replace(example, kind=kind)]
    return found


def _ways(state: State) -> tuple[State, ...]:
    """The lesson as it is, asked for hints before, failed before, led by the learner, of one equation, growing, new."""
    one = replace(state.plan, tasks=state.plan.tasks[:1])
    return (
        state, replace(state, rung=3, tries=2), replace(state, tries=3), replace(state, leads=True),
        replace(state, plan=one), replace(state, plan=replace(one, open=True)), replace(state, faded=()),
    )  # fmt: skip


def test_every_row_is_driven_and_no_other_phase_follows(monkeypatch: pytest.MonkeyPatch) -> None:
    """Each event in each phase, whether or not it can come up there, in lessons that stand differently."""
    events, driven, astray = _events(monkeypatch), set(), set()
    for states in (in_every_phase(), where_the_unknown_goes()):
        for phase, state in states.items():
            for kind in KINDS:
                driven.add((phase, kind))
                for event, way in product(events[kind], _ways(state)):
                    done = advance(way, event)
                    if _astray(way, event, done):
                        astray.add((phase, kind, done.state.phase))
    assert set(TABLE) <= driven
    assert astray == set()


def test_what_is_said_of_the_table_beside_others_is_so() -> None:
    said = " ".join(BESIDE.read_text("utf-8").split())
    assert f"`table.py` has {len(TABLE)} rows" in said
    assert f"a row names {sum(len(row.next) for row in TABLE.values()) / len(TABLE):.1f} phases on average" in said
    assert f"takes {len((BESIDE.parent / 'table.py').read_text('utf-8').splitlines())} lines" in said
    assert f"We have {len(FAMILIES)} unions of kinds" in said
