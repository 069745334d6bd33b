"""Small words that every page shares."""

from collections.abc import Sequence
from typing import Any

from chattutor.review.evidence import OUTCOMES
from chattutor.session_logs.transcript import local
from dialogue.algebra.equation import read_equation
from dialogue.algebra.misconceptions import error_table
from dialogue.algebra.reading import read_expression
from dialogue.algebra.refusals import Refusal
from dialogue.algebra.writing import BOARD, write
from dialogue.learner.stages import stages

MOST_LETTERS = 40  # characters of what was said, of a code, of an equation, on the class page
NAME = 120  # of what is ours, which is never longer
NOTE = 60  # and of a teacher's note
EQUATIONS = 3  # named in one line
ROOM = 130  # characters of the codes named in one line
COLUMN = 15  # learners one below the other


def counted(number: int, noun: str, many: str = "") -> str:
    """``1 learner``, ``2 learners``."""
    return f"{number:,} {noun if number == 1 else many or f'{noun}s'}"


def error_name(error: str) -> str:
    """The error in plain teachers' words."""
    entry = error_table().get(error)
    return entry.name if entry else error


def error_names(errors: Sequence[str]) -> str:
    """All the errors that may be behind a pattern, until they are told apart."""
    first, *others = map(error_name, errors)
    return " or: ".join([first, *(f"{each[:1].lower()}{each[1:]}" for each in others)])


def totals(page: dict[str, Any]) -> str:
    """How much was read, and up to which day."""
    last = max((str(learner["last"])[:10] for learner in page["learners"]), default="")
    read = ", ".join((
        counted(len(page["learners"]), "learner"), counted(page["sessions"], "session"), counted(page["turns"], "turn")
    ))  # fmt: skip
    return f"{read}, the last on {last}" if last else read


def times_seen(row: dict[str, Any]) -> str:
    """How often an error was seen, and by how many."""
    return f"{counted(row['count'], 'time')}, {counted(len(row['learners']), 'learner')}"


def stage_name(number: int) -> str:
    """A stage by its number; 0 is an equation of no stage."""
    return f"stage {number}" if number else "own"


def stage_key(numbers: Sequence[int]) -> str:
    """What the stages are about: ``3 Undo multiplying · 6 Two steps``."""
    known = {stage.number: stage.name for stage in stages()}
    return " · ".join(f"{number or 'own'} {known.get(number, 'equations of no stage')}" for number in numbers)


def clipped(text: object, most: int = MOST_LETTERS) -> str:
    """Text of a log, no longer than a page has room for."""
    words = str(text)
    return words if len(words) <= most else f"{words[: most - 1]}…"


def first_reason(row: dict[str, str]) -> str:
    """Why to see a learner first, no longer than a line or two."""
    seen = f": {clipped(on_board(row['line']))}" if row["line"] else ""
    seen += f"{' then' if row['line'] else ', last'} “{clipped(row['said'])}”" if row["said"] else ""
    note = f" Note: {clipped(row['note'], NOTE)}" if row["note"] else ""
    return f"{clipped(row['why'], NAME)}{seen}.{note}"


def named(codes: Sequence[str], room: int = ROOM) -> list[str]:
    """The codes, as many as there is room for; how many are left out is said."""
    found: list[str] = []
    for code in map(clipped, codes):
        if sum(map(len, found)) + len(code) + 2 * len(found) > room:
            return [*found[:-1], f"and {len(codes) - len(found) + 1} more"]
        found.append(code)
    return found


def on_board(text: str, letter: str | None = None) -> str:
    """An equation of the logs (or an expression in ``letter``) as a teacher writes it; what is neither stays."""
    try:
        if letter is None or "=" in text:
            return read_equation(text).text(BOARD)
        return write(read_expression(text, letter), BOARD)
    except Refusal:
        return text


def stages_of(learners: Sequence[dict[str, Any]]) -> list[int]:
    """The stages that anybody tried."""
    return sorted({int(number) for learner in learners for number in learner["stages"]})


def in_parts(learners: list[dict[str, Any]], most: int = COLUMN) -> list[list[dict[str, Any]]]:
    """A long class in columns of equal length, so that it stays on one page."""
    height = -(-len(learners) // max(1, -(-len(learners) // most)))
    return [learners[start : start + height] for start in range(0, len(learners), max(height, 1))]


def left_over(not_attempted: list[dict[str, Any]]) -> list[tuple[list[str], list[str]]]:
    """Equations not attempted, with the codes of everyone who has just those left; the longest list first."""
    groups: dict[tuple[str, ...], list[str]] = {}
    for row in not_attempted:
        groups.setdefault(tuple(map(on_board, row["equations"])), []).append(row["code"])
    return [(list(what), codes) for what, codes in sorted(groups.items(), key=lambda pair: (-len(pair[1]), pair[0]))]


def unsure_pile(unsure: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """A row a learner: how many turns stayed unsure, and the latest of them; the most first."""
    piles: dict[str, list[dict[str, Any]]] = {}
    for row in unsure:
        piles.setdefault(row["code"], []).append(row)
    rows = [{**pile[-1], "count": len(pile)} for pile in piles.values()]
    return sorted(rows, key=lambda row: (-row["count"], row["code"]))


def cell_of(row: dict[str, Any]) -> dict[str, Any]:
    """What stands in one place of the grid."""
    worked_on = sum(row.get(outcome, 0) for outcome in OUTCOMES[:-1])
    better = OUTCOMES.index(row["best"]) < OUTCOMES.index(row["now"])
    return {"now": row["now"], "best": row["best"], "better": better, "worked_on": worked_on,
            "independent": row.get(OUTCOMES[0], 0)}  # fmt: skip


def twins(row: dict[str, Any]) -> str:
    """That two sessions of one code went on together."""
    one, other = (name[:8] for name in row["sessions"])
    both = [f"{on_board(each['equation'])} {each['went'][0]}, {each['went'][1]}" for each in row["equations"]]
    differ = f"; both had {'; '.join(both[:EQUATIONS])}" if both else ""
    return f"sessions {one} and {other} at the same time, {local(row['when'])}{differ}"
