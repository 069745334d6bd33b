"""The class page as CSV (RFC 4180): a row for each learner and stage."""

import csv
import io
from typing import Any

HEADS = ("learner", "stage", "now", "independent", "prompted", "shown", "not yet", "not attempted")
FORMULA = ("=", "+", "-", "@", "\t", "\r")  # OWASP, "CSV Injection" (from memory): what a spreadsheet would run


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
    """A cell that no spreadsheet takes for a formula."""
    text = str(value)
    return f"'{text}" if text.startswith(FORMULA) else text
