"""Rows of figures that run_all.py gathers from the benchmarks into one table.

A benchmark prints what it likes, and calls `row` for each figure of the common table. Where ROWS names a file in the
environment, the row goes there as a JSON line; where not, `row` does nothing, so that a benchmark runs alone as well.
"""

import json
import os
import statistics
from collections.abc import Sequence
from pathlib import Path

ROWS = "CHATTUTOR_BENCH_ROWS"


def row(
    what: str,
    ours: Sequence[float],
    unit: str,
    *,
    peer: str = "",
    theirs: Sequence[float] = (),
    limit: float | None = None,
    limit_is: str = "",
    most: bool = True,
    note: str = "",
) -> None:
    """One figure: our samples in this unit; a peer by name and its samples, measured in the same run; the limit to
    keep, at most (or, with ``most=False``, at least), and what it is: the median keeps it, or what ``limit_is`` names,
    "of the 99th percentile" or "of any ...". One sample stands for itself."""
    if not (where := os.environ.get(ROWS)):
        return
    told = {"what": what, "unit": unit, **summary(ours), "note": note}
    if theirs:
        told |= {"peer": peer, "theirs": summary(theirs)}
    if limit is not None:
        told |= {"limit": limit, "limit_is": limit_is, "most": most}
    _append(where, told)


def cannot(what: str, why: str) -> None:
    """A row for what could not be measured here, and why not."""
    if where := os.environ.get(ROWS):
        _append(where, {"what": what, "why": why})


def summary(samples: Sequence[float]) -> dict[str, float]:
    """How many, the median, and of several the 10th, 90th and 99th percentile (nearest rank)."""
    ordered = sorted(samples)
    if len(ordered) == 1:
        return {"n": 1, "median": ordered[0], "max": ordered[0]}

    def at(share: float) -> float:
        return ordered[min(len(ordered) - 1, int(len(ordered) * share))]

    shares = {"p10": at(0.1), "p90": at(0.9), "p99": at(0.99), "max": ordered[-1]}
    return {"n": len(ordered), "median": statistics.median(ordered), **shares}


def _append(where: str, told: dict[str, object]) -> None:
    with Path(where).open("a", encoding="utf-8") as file:
        file.write(json.dumps(told) + "\n")
