"""A folder of session logs into the class page: of what was read before only what changed is read again."""

import json
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from chattutor.review import digest_cache
from chattutor.session_logs.file_stamps import fingerprint, stamps
from chattutor.session_logs.times import EVERY_DAY, Days

if TYPE_CHECKING:
    from chattutor.review.evidence import Evidence
    from chattutor.review.gathering import TellCount


def class_json(
    folder: Path, tell: "TellCount | None" = None, many: int = digest_cache.MANY, days: Days = EVERY_DAY
) -> bytes:
    """The class page as JSON: of a page that was kept its very bytes. ``tell`` hears how many logs are done of how
    many; with ``many`` logs or more, what was found is kept beside them. Raises LogTrouble where it cannot be read."""
    logs, notes = stamps(folder)
    keeper = digest_cache.keeper() if len(logs) >= many else None
    mark = fingerprint([*logs, *notes], keeper.code if keeper is not None else "")
    whole = days == EVERY_DAY  # a page of some days is not kept, but what was read for it is
    if keeper is not None and whole and (before := keeper.page(folder, mark)) is not None:
        return before
    from chattutor.review.class_page import class_page  # only now: a second look needs none of it
    from chattutor.review.gathering import gather

    page = as_json(class_page(gather(folder, logs, notes, keeper, tell, days)))
    if keeper is not None and whole and all(stamp.settled for stamp in (*logs, *notes)):
        keeper.keep_page(folder, mark, page)
    return page


def class_evidence(folder: Path, days: Days = EVERY_DAY) -> "Evidence":
    """What the logs of these days show. Raises LogTrouble."""
    from chattutor.review.gathering import gather

    logs, notes = stamps(folder)
    return gather(folder, logs, notes, None, None, days)


def without_lesson(folder: Path, there: set[str], listed: Iterable[str], days: Days) -> dict[str, Any]:
    """Who had no lesson, under its heading: of a class list whoever is not there and, where the page is of some days,
    who has session logs in a folder of their own here."""
    away = set(listed) - there
    if days != EVERY_DAY:
        here = (each for each in folder.iterdir() if each.name not in there and each.is_dir())
        away |= {each.name for each in here if any(each.glob("*.jsonl"))}
    return {"heading": "No lesson" if days == EVERY_DAY else "No lesson on these days", "learners": sorted(away)}


def as_json(page: dict[str, Any]) -> bytes:
    """A page as it is written and kept."""
    return json.dumps(page).encode("ascii")  # a terminal may obey what is not ASCII (C1, ECMA-48)
