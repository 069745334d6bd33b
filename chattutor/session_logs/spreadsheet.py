"""The class page as CSV (RFC 4180): a row for each learner and stage."""

import csv
import io
import re
from typing import Any

from chattutor.common.exits import CONTROLS

HEADS = (
    "learner", "stage", "now", "independent", "right after wrong steps", "prompted", "shown", "not yet",
    "not attempted",
)  # fmt: skip
# what a spreadsheet would run, also one that parts cells at semicolons: OWASP, "CSV Injection" (from memory)
_START = r"""(?=[\s"]*[=+\-@＝＋－＠])"""
FORMULA, KEPT_FROM_RUNNING = re.compile(f"(^|;){_START}"), re.compile(f"(^|;)'{_START}")


def class_csv(page: dict[str, Any]) -> str:
    """The table as text."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(HEADS)
    for learner in page["learners"]:
        for stage, row in learner["stages"].items():
            counts = [row.get(head, 0) for head in HEADS[3:]]
            writer.writerow(map(harmless, (learner["code"], stage, row["now"], *counts)))
    return out.getvalue()


def harmless(value: object) -> str:
    """A cell that no spreadsheet takes for a formula, on one line; tabs and other control characters are spaces."""
    return FORMULA.sub(r"\1'", CONTROLS.sub(" ", str(value)).strip())


def as_it_was(cell: str) -> str:
    """A cell without the marks that keep a spreadsheet from running it."""
    return KEPT_FROM_RUNNING.sub(r"\1", cell)
