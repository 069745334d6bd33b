"""The learner page on a terminal, and the words it shares with the HTML page."""

from collections.abc import Iterator
from typing import Any

from chattutor.review.phrasing import counted, on_board, stage_name
from chattutor.review.terminal import MARKS
from chattutor.session_logs.notes import JUDGEMENT_WORDS
from chattutor.session_logs.transcript import local, shown


def learner_lines(page: dict[str, Any]) -> Iterator[str]:
    """The page, a line each, fit for a terminal."""
    yield from map(shown, _lines(page))


def said_how(page: dict[str, Any]) -> str:
    """How much there is, how much of it was spoken, and what was put right unasked."""
    sessions, turns = counted(len(page["sessions"]), "session"), counted(page["turns"], "turn")
    spoken, mended = f"{page['spoken_turns']} by voice", counted(page["self_corrections"], "self-correction")
    return f"{sessions}, {turns}, {spoken}, {mended}"


def next_words(page: dict[str, Any]) -> str:
    """What the next lesson is about and why, and what else it begins with."""
    following, before = page["next"], page["before"]
    if not following:
        return "no stage tried so far"
    words = f"stage {following['stage']}, {following['name']}: {following['why']}"
    return words if before == following else f"{words}; first one of stage {before['stage']}, {before['why']}"


def pattern_words(row: dict[str, Any]) -> str:
    """An error seen again, with where it was seen."""
    where = "; ".join(f"{on_board(each['line'])} then {each['said']}" for each in row["seen"])
    return f"{row['name']}: {where}"


def turn_notes(turn: dict[str, Any]) -> list[str]:
    """Slip or pattern, a self-correction, a teacher's judgement. The evidence of a pattern is above, once."""
    notes = []
    if turn["kind"] == "pattern":
        notes.append(f"pattern: {turn['error_name']}, on {len(turn['evidence'])} equations")
    elif turn["kind"]:
        notes.append(f"slip so far: {turn['error_name']}")
    if turn["self_correction"]:
        notes.append("self-correction")
    if turn["overridden"]:
        word = turn["overridden"]
        notes.append(f"a teacher's judgement: {word if word in JUDGEMENT_WORDS else turn['error_name'] or word}")
    return notes


def session_name(session: dict[str, Any]) -> str:
    """Which session, when, how it ended, and how the learner read and answered."""
    return ", ".join([f"Session {session['id'][:8]}", local(session["when"]), session["end"], *session["access"]])


def _lines(page: dict[str, Any]) -> Iterator[str]:
    yield f"Learner {page['code']}: {said_how(page)}"
    yield f"What comes next: {next_words(page)}"
    yield from _section("Teacher's notes", [f"{local(note['at'])}: {note['text']}" for note in page["notes"]])
    if page["notes_unread"]:
        yield f"  ({counted(page['notes_unread'], 'line')} of the notes cannot be read)"
    yield from _section("Seen on more than one equation", [pattern_words(row) for row in page["patterns"]])
    yield from _section("Path over lessons", _path(page["path"]))
    yield "  " + "   ".join(f"{mark} {meaning}" for meaning, mark in MARKS.items())
    for session in page["sessions"]:
        yield ""
        yield session_name(session)
        for turn in session["turns"]:
            yield from _turn(turn)


def _section(title: str, lines: list[str]) -> Iterator[str]:
    yield ""
    yield title
    yield from (f"  {line}" for line in lines or ["none"])


def _path(path: list[dict[str, Any]]) -> list[str]:
    lessons: dict[str, list[str]] = {}
    for row in path:
        lessons.setdefault(row["when"], []).append(f"{stage_name(row['stage'])} {MARKS[row['outcome']]}")
    return [f"{local(when)}  {'  '.join(marks)}" for when, marks in sorted(lessons.items())]


def _turn(turn: dict[str, Any]) -> Iterator[str]:
    confirmed = f", {turn['confirmed']}" if turn["confirmed"] else ""
    yield f"  {turn['turn']:>3}  {on_board(turn['line'])}:  {turn['heard']}  ({turn['channel']}{confirmed})"
    left, right = (on_board(turn[side], turn["letter"]) for side in ("left", "right"))
    sides = f"left {left}, right {right}" if left else ""
    step = on_board(turn["step"]) if "=" in turn["step"] else turn["step"]
    judgement = turn["judgement"] + (f" (in place of: {turn['replaced']})" if turn["replaced"] else "")
    parts = [step, sides, judgement, turn["level"], *turn_notes(turn)]
    yield "       " + " | ".join(part for part in parts if part)
