"""The turn for the session log: what it came to, how each step was judged, with what help."""

from collections.abc import Mapping, Sequence

from dialogue.acts import Disclosure, Interpretation, to_json
from dialogue.algebra.equation import Equation
from dialogue.turn_record import Answered, BoardRecord, DiagnosisRecord, JudgedStep, SlipRecord, looked_at
from dialogue.tutor.activities.reasons import reason_given
from dialogue.tutor.core.events import Advanced, Event, EventKind, Judged
from dialogue.tutor.core.mistakes import is_pattern
from dialogue.tutor.core.state import State

WRONG: frozenset[EventKind] = frozenset(
    {"value wrong", "described wrong", "term unknown", "left wrong", "right wrong", "both wrong", "values wrong"}
)
UNHEARD: frozenset[EventKind] = frozenset({"doubtful", "unsure", "narrow", "unheard"})


def record_of(before: State, advanced: Advanced, meant: Interpretation | None, lines: Sequence[Equation]) -> Answered:
    """The record of a turn in which the learner had the word; ``lines``: the line that each event was judged from."""
    after, _, events = advanced
    heard = events[0]
    goes_on = before.held if len(events) > 1 else ()
    steps = _steps(before, events, lines)
    judged = looked_at(steps)
    balanced = judged.balanced if judged is not None else None
    corrected = balanced is True and before.tries > 0 and before.aided == "independent"
    taken_back = None
    if meant is not None and meant.taken_back is not None and heard.kind not in UNHEARD:
        taken_back = to_json(meant.taken_back, exact=True)
        corrected = balanced is True if steps else heard.kind not in WRONG
    return Answered(
        event=heard.kind,
        task=before.place,
        stage=before.task.stage,
        phase=before.phase,
        line=before.equation.text(),
        next=after.phase,
        level=_level(before, after),
        then=tuple(event.kind for event in events[1:]),
        held=to_json(goes_on[0], exact=True) if goes_on and before.phase in {"confirm", "reason"} else None,
        reason_given=reason_given(before, heard.act) if goes_on and before.phase == "reason" else "",
        steps=steps,
        corrected=corrected,
        taken_back=taken_back,
        board=board_records(after) if after.board != before.board or after.place != before.place else None,
        solved=before.task.equation.text() if len(after.solved) > len(before.solved) else "",
        diagnosis=_diagnosis(before, after),
        game=_slip(before, heard),
        pattern=(is_pattern(after) or "") if after.seen != before.seen else "",
    )


def as_kept(found: Interpretation | None, first: Event) -> Interpretation | None:
    """What was understood; of what an adult should hear only that it was said."""
    if found is None or first.kind != "distress":
        return found
    return Interpretation((Disclosure(),), found.sure)


def board_records(state: State) -> tuple[BoardRecord, ...]:
    """The board, a line of working each."""
    return tuple(
        BoardRecord(line.equation.text(), to_json(line.note, exact=True) if line.note else None, line.level)
        for line in state.board
    )


def _steps(before: State, events: Sequence[Event], lines: Sequence[Equation]) -> tuple[JudgedStep, ...]:
    """Every step that was judged in this turn, in order."""
    first_try = before.tries == 0 and before.aided == "independent"
    return tuple(
        JudgedStep(
            act=to_json(event.step, exact=True),
            line=line.text(),
            balanced=event.judgement.balanced,
            closer=event.judgement.closer,
            errors=(*event.judgement.errors, *(sign for sign in event.judgement.signs if sign in before.signs)),
            reason=event.judgement.reason,
            first_try=first_try,
            signs=event.judgement.signs,
        )
        for event, line in zip(events, lines, strict=False)
        if isinstance(event, Judged)
    )


def _diagnosis(before: State, after: State) -> DiagnosisRecord | None:
    """How likely each error behind the line is, from the first question about it to what is left tied at the end."""
    asked = after.inquiry if after.inquiry != before.inquiry else None
    hypotheses = {} if asked is None else _rounded(asked.beliefs)
    ended = before.inquiry is not None and after.inquiry is None and after.seen != before.seen[:-1]
    tied = dict(after.tied) if after.tied != before.tied else {}
    found = DiagnosisRecord(
        asked="" if asked is None else asked.question.kind,
        hypotheses=hypotheses,
        taken_for=after.seen[-1][1] if ended and after.seen else "",
        tied=_rounded(tied),
    )
    return found if found != DiagnosisRecord() else None


def _rounded(chances: Mapping[str, float]) -> dict[str, float]:
    return {error: round(chance, 3) for error, chance in chances.items()}


def _slip(before: State, heard: Event) -> SlipRecord | None:
    game = before.game
    if game is None or heard.kind not in {"slip found", "slip missed"}:
        return None
    return SlipRecord(game.lines[game.slip].text(), game.error, heard.kind == "slip found")


def _level(before: State, after: State) -> str:
    """With what help this turn was made."""
    grown = after.place == before.place and len(after.board) > len(before.board)
    return after.board[-1].level if grown else before.aided
