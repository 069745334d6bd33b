"""The class page as CSV (RFC 4180): a row for each learner and stage."""

import csv
import io
from typing import Any

from chattutor.exits import CONTROLS

HEADS = ("learner", "stage", "now", "independent", "prompted", "shown", "not yet", "not attempted")
# what a spreadsheet would run: OWASP, "CSV Injection" (from memory)
FORMULA = ("=", "+", "-", "@", "＝", "＋", "－", "＠")


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
    text = CONTROLS.sub(" ", str(value)).strip()
    return f"'{text}" if text.startswith(FORMULA) else text
