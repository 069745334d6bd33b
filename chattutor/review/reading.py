"""A folder of session logs into the class page: on every processor, and of what was read before only what changed."""

import json
import os
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor
from contextlib import nullcontext
from functools import cache
from pathlib import Path
from typing import Any, TypeAlias

from chattutor.exits import LogTrouble
from chattutor.logs.folder import DIGESTS
from chattutor.logs.reader import read_session
from chattutor.logs.stamps import Stamp, fingerprint, stamps
from chattutor.review import kept
from chattutor.review.class_page import class_page
from chattutor.review.digest import Digest, digest, from_json, quick
from chattutor.review.evidence import Evidence
from chattutor.review.notes import Notes, marked, read_notes
from chattutor.review.turns import Read, reader

AT_A_TIME = 100  # logs handed to a process
WORTH_PROCESSES = 600  # logs to read; below, starting processes takes longer
MOST_PROCESSES = 8
Tell: TypeAlias = Callable[[int, int], None]


def read_class(folder: Path, tell: Tell | None = None, many: int = kept.MANY) -> dict[str, Any]:
    """The class page. ``tell`` hears how many logs are done of how many; with ``many`` logs or more, what was found is
    kept beside them. Raises LogTrouble where the folder cannot be read."""
    logs, notes = stamps(folder)
    code = kept.code_key() if len(logs) >= many else ""
    mark = fingerprint([*logs, *notes], code)
    if code and (before := kept.page(folder, mark)) is not None:
        return before
    evidence = _evidence(folder, logs, notes, code, tell)
    page = class_page(evidence)
    if code and all(stamp.settled for stamp in (*logs, *notes)):
        kept.keep_page(folder, mark, page)
    return page


def processors() -> int:
    """How many processes may read at once."""
    able = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    return min(able, MOST_PROCESSES)


def _evidence(folder: Path, logs: list[Stamp], notes: list[Stamp], code: str, tell: Tell | None) -> Evidence:
    evidence = Evidence()
    written = _written(folder, notes, evidence)
    judged = {name for found in written.values() for name, _ in found.overrides}
    before = kept.digests(folder, code) if code else {}
    keys = [kept.key(folder, stamp) for stamp in logs] if code else []
    strays: list[tuple[Path, Digest]] = []
    fresh = _read([str(log.path) for at, log in enumerate(logs) if not code or keys[at] not in before])
    with kept.keeping(folder / DIGESTS, code) if code else nullcontext() as out:
        for at, log in enumerate(logs):
            found = before.pop(keys[at], None) if code else None
            sound = True
            if found is None:
                found, sound = next(fresh)
            if out is not None and sound and log.settled:
                out.write(b"%s\t%s\n" % (keys[at], found))
            read = _judged(folder, log.path, found, judged)
            if read.problems and log.path.parent.name != read.learner:
                strays.append((log.path, read))  # a spoilt copy never stands before a whole one
            else:
                evidence.add(str(log.path), read)
            if tell is not None and at % AT_A_TIME == 0:
                tell(at, len(logs))
    for path, read in strays:
        evidence.add(str(path), read)
    for learner in evidence.learners.values():
        said = written[learner.code].notes if learner.code in written else []
        learner.note = said[-1][1] if said else ""
    return evidence


def _judged(folder: Path, path: Path, found: bytes, judged: set[str]) -> Digest:
    """A log's digest, as a teacher judged it."""
    try:
        read = from_json(json.loads(found))
    except (ValueError, TypeError, RecursionError):  # kept, and spoiled since
        read = digest(read_session(path))
    if read.id in judged:
        read = digest(next(marked(folder, iter([read_session(path)]))))
    return read


def _written(folder: Path, notes: list[Stamp], evidence: Evidence) -> dict[str, Notes]:
    """What teachers wrote, by learner. Notes that cannot be read are named and break nothing."""
    found: dict[str, Notes] = {}
    for stamp in notes:
        if stamp.path.parent.parent == folder:
            try:
                found[stamp.path.parent.name] = read_notes(folder, stamp.path.parent.name)
            except LogTrouble as trouble:
                evidence.faulty.append((str(stamp.path), trouble.sentence))
    return found


def _read(paths: list[str]) -> Iterator[tuple[bytes, bool]]:
    """The digest of each log, in order, and whether it is sure to stay so while the file does."""
    parts = [paths[at : at + AT_A_TIME] for at in range(0, len(paths), AT_A_TIME)]
    if len(paths) < WORTH_PROCESSES or processors() == 1:
        for part in parts:
            yield from _some(part)
        return
    with ProcessPoolExecutor(processors()) as pool:
        for done in pool.map(_some, parts):
            yield from done


def _some(paths: list[str]) -> list[tuple[bytes, bool]]:
    found = []
    for path in map(Path, paths):
        read, sound = quick(path, _reader()), True
        if read is None:
            read = digest(read_session(path))
            sound = bool(read.problems)  # none, yet not plainly sound: it is being written now
        found.append((json.dumps(read, separators=(",", ":")).encode(), sound))
    return found


@cache
def _reader() -> Read:
    return reader()
