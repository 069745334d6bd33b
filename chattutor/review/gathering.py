"""Session logs into evidence: on every processor, and of what was read before only what changed."""

import gc
import json
import os
from collections.abc import Callable, Sequence
from contextlib import nullcontext
from pathlib import Path
from typing import TypeAlias

from chattutor.review import digest_cache
from chattutor.review.error_patterns import Again, Wrong, keep_patterns, repeated_errors, seen_twice, wrong_steps
from chattutor.review.evidence import Evidence
from chattutor.review.workers import Workers
from chattutor.session_logs.digest import Digest, digest, packed, quick, unpacked
from chattutor.session_logs.file_stamps import Stamp
from chattutor.session_logs.folder import DIGESTS
from chattutor.session_logs.folding_order import is_stray, notes_by_learner
from chattutor.session_logs.notes import marked
from chattutor.session_logs.reader import read_session
from chattutor.session_logs.times import EVERY_DAY, Days

LOGS, LEARNERS = 100, 10  # handed to a process at once
WORTH_READING, WORTH_WEIGHING = 600, 60  # logs and learners; for fewer, starting processes takes longer
TellCount: TypeAlias = Callable[[int, int], None]
Keep: TypeAlias = Callable[[bytes, bytes], None]


def gather(
    folder: Path,
    logs: list[Stamp],
    notes: list[Stamp],
    keeper: digest_cache.Keeper | None,
    tell: TellCount | None,
    days: Days = EVERY_DAY,
) -> Evidence:
    """What the logs of these days show. With a ``keeper`` what it kept is used, and what was found is kept."""
    collecting = gc.isenabled()
    gc.disable()  # a million small things are made and none of them in circles: looking for circles takes a third
    try:
        return _gather(folder, logs, notes, keeper, tell, days)
    finally:
        if collecting:
            gc.enable()


def _gather(
    folder: Path,
    logs: list[Stamp],
    notes: list[Stamp],
    keeper: digest_cache.Keeper | None,
    tell: TellCount | None,
    days: Days,
) -> Evidence:
    evidence = Evidence()
    said_of, faulty = notes_by_learner(folder, notes)
    evidence.faulty += [(str(folder / name), why) for name, why in faulty]
    judged = {name for found in said_of.values() for name in (*found.belongs, *(each for each, _ in found.overrides))}
    before = keeper.lines(folder) if keeper is not None else {}
    kept = nullcontext() if keeper is None else digest_cache.keeping(folder / DIGESTS, keeper.code)
    with Workers() as workers, kept as out:

        def keep(key: bytes, found: bytes) -> None:
            if out is not None and keeper is not None:
                out.write(keeper.signed(key, found))

        _read(folder, logs, judged, before, evidence, workers, keep, tell, days)
        _weigh(evidence, before, workers, keep)
    for learner in evidence.learners.values():
        said = said_of[learner.code].notes if learner.code in said_of else []
        learner.note = said[-1][1] if said else ""
    return evidence


def _read(
    folder: Path,
    logs: list[Stamp],
    judged: set[str],
    before: dict[bytes, bytes],
    evidence: Evidence,
    workers: Workers,
    keep: Keep,
    tell: TellCount | None,
    days: Days,
) -> None:
    """Fold in every log, from its digest kept ``before`` or read now, and keep the digests."""
    root = "" if folder == Path() else os.path.join(folder, "")
    keys = [digest_cache.key(log) for log in logs]
    unread = [root + log.name for log, key in zip(logs, keys, strict=True) if key not in before]
    fresh = workers.each(_digests, unread, LOGS, WORTH_READING)
    strays: list[tuple[str, Digest]] = []
    for at, (log, key) in enumerate(zip(logs, keys, strict=True)):
        path = root + log.name
        found, sound = before.get(key), True
        if found is None:
            found, sound = next(fresh)
        if sound and log.settled:
            keep(key, found)
        read = _judged(folder, path, found, judged)
        if not days.hold(read.created) and (read.created or not read.problems):  # what has no day may be of these
            continue
        if is_stray(path, read.learner, bool(read.problems)):
            strays.append((path, read))
        else:
            evidence.add(path, read)
        if tell is not None and at % LOGS == 0:
            tell(at, len(logs))
    for path, read in strays:
        evidence.add(path, read)
    evidence.settle()


def _weigh(evidence: Evidence, before: dict[bytes, bytes], workers: Workers, keep: Keep) -> None:
    """Tell slips from patterns for every learner of whom that is not known from ``before``, and keep it."""
    steps = [(learner, wrong_steps(learner)) for learner in evidence.learners.values()]
    asked = [(learner, wrong, digest_cache.findings_key(wrong)) for learner, wrong in steps if seen_twice(wrong)]
    known = {key: again for _, wrong, key in asked if (again := _known(before.get(key), len(wrong))) is not None}
    new = workers.each(_repeated, [wrong for _, wrong, key in asked if key not in known], LEARNERS, WORTH_WEIGHING)
    for learner, _, key in asked:
        again = known[key] if key in known else next(new)
        keep_patterns(learner, again)
        keep(key, json.dumps(again).encode())


def _known(found: bytes | None, steps: int) -> Again | None:
    """What was kept of a learner with so many wrong steps, unless it was spoiled since."""
    try:
        again = json.loads(found or b"null")
    except (ValueError, RecursionError):
        return None
    sound = isinstance(again, dict) and all(
        isinstance(places, list) and places and all(type(place) is int and 0 <= place < steps for place in places)
        for places in again.values()
    )
    return again if sound else None


def _repeated(some: Sequence[Wrong]) -> list[Again]:
    return list(map(repeated_errors, some))


def _judged(folder: Path, path: str, found: bytes, judged: set[str]) -> Digest:
    """A log's digest, as a teacher judged it."""
    try:
        read = unpacked(found)
    except (ValueError, TypeError, RecursionError):  # kept, and spoiled since
        read = digest(read_session(Path(path)))
    if read.id in judged:
        read = digest(next(marked(folder, iter([read_session(Path(path))]))))
    return read


def _digests(paths: Sequence[str]) -> list[tuple[bytes, bool]]:
    """The digest of each log, packed, and whether it is sure to stay so while the file does."""
    found = []
    for path in paths:
        read, sound = quick(path), True
        if read is None:
            read = digest(read_session(Path(path)))
            sound = bool(read.problems)  # none, yet not plainly sound: it is being written now
        found.append((packed(read), sound))
    return found
