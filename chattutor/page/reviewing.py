"""The data of the class's pages, of a class and of some days, made by a process of its own: no lesson waits for it.

Its standard input is the JSON of a ``Wanted``, its standard output the page's (``review.class_page``).
"""

import json
import os
import subprocess
import sys
from collections.abc import Iterable
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any, Literal

from chattutor.common.exits import FINE, TROUBLE, CannotGoOn
from chattutor.session_logs.file_stamps import Stamp

MODULE = "chattutor.page.reviewing"
SECONDS = 120


@dataclass(frozen=True, slots=True)
class Wanted:
    """Logs of these learners (None: everybody), of days from ``since`` to ``until`` (ISO 8601; empty: no bound)."""

    codes: tuple[str, ...] | None = None
    since: str = ""
    until: str = ""

    @property
    def everything(self) -> bool:
        """Whether nothing is left out."""
        return self == Wanted()


def reviewed(folder: Path, wanted: Wanted, page: Literal["class", "over time"] = "class") -> dict[str, Any]:
    """The page's data, by another process. Raises CannotGoOn."""
    given = json.dumps({"folder": str(folder), "page": page, **asdict(wanted)}).encode()
    try:
        done = subprocess.run(  # noqa: S603 - this program itself
            [sys.executable, "-m", MODULE], input=given, capture_output=True, timeout=SECONDS, check=False
        )
    except subprocess.TimeoutExpired as error:
        raise CannotGoOn("Reading the logs took too long. Choose fewer days.") from error
    if done.returncode != FINE:
        raise CannotGoOn(
            done.stderr.decode("utf-8", "replace").strip().rpartition("\n")[2] or "The logs cannot be read."
        )
    found: dict[str, Any] = json.loads(done.stdout)
    return found


def of_these(logs: Iterable[Stamp], wanted: Wanted) -> list[Stamp]:
    """The logs of the learners that are wanted: a log's folder is its learner's code."""
    codes = None if wanted.codes is None else set(wanted.codes)
    return [log for log in logs if codes is None or os.path.basename(os.path.dirname(log.name)) in codes]


def main() -> int:
    """Read what is wanted, write the page."""
    from chattutor.review.class_page import class_page
    from chattutor.review.class_reading import as_json, class_json
    from chattutor.review.gathering import gather
    from chattutor.review.half_terms import set_for
    from chattutor.review.over_time import over_time
    from chattutor.session_logs.file_stamps import stamps
    from chattutor.session_logs.times import Days

    given = json.load(sys.stdin)
    folder = Path(given.pop("folder"))
    codes, which = given.pop("codes"), given.pop("page")
    wanted = Wanted(None if codes is None else tuple(codes), **given)
    try:
        if wanted.everything and which == "class":
            page = class_json(folder)
        else:
            logs, notes = stamps(folder)
            days = Days(wanted.since, wanted.until)
            evidence = gather(folder, of_these(logs, wanted), notes, None, None, days)
            told = set_for(folder)
            page = as_json(over_time(evidence, told) if which == "over time" else class_page(evidence))
    except CannotGoOn as trouble:
        print(trouble.sentence, file=sys.stderr)
        return TROUBLE
    sys.stdout.buffer.write(page)
    return FINE


if __name__ == "__main__":
    sys.exit(main())
