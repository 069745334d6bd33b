"""The rows of the benchmarks as a table in Markdown, and the machine in one sentence."""

import os
import platform
from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import Any

BEGIN, END = "<!-- bench -->", "<!-- /bench -->"
HEAD = ("bench", "what", "n", "median (10th to 90th percentile)", "99th", "peer", "peer's median", "", "limit")


def machine() -> str:
    """The processor, how many, the load before, the system, Python, and the day."""
    return (
        f"{date.today():%d %B %Y}; {_processor()}, {os.cpu_count()} processors, load {os.getloadavg()[0]:.1f} before; "
        f"{platform.system()}, Python {platform.python_version()}"
    )


def _processor() -> str:
    try:
        lines = Path("/proc/cpuinfo").read_text("utf-8").splitlines()
    except OSError:  # not Linux
        return platform.processor() or platform.machine()
    named = (line.partition(":")[2].strip() for line in lines if line.startswith("model name"))
    return next(named, platform.machine())


def table(rows: Sequence[Mapping[str, Any]]) -> str:
    """One line a row, the columns aligned."""
    cells = [HEAD, *(_cells(row) for row in rows)]
    wide = [max(3, *(len(line[column]) for line in cells)) for column in range(len(HEAD))]
    lines = [
        "| " + " | ".join(cell.ljust(width) for cell, width in zip(line, wide, strict=True)) + " |" for line in cells
    ]
    lines.insert(1, "|" + "|".join("-" * (width + 2) for width in wide) + "|")
    return "\n".join(lines)


def _cells(row: Mapping[str, Any]) -> tuple[str, ...]:
    what = f"{row['what']} ({row['note']})" if row.get("note") else row["what"]
    if "why" in row:
        return (row["bench"], what, "", f"not measured: {row['why']}", "", "", "", "", "")
    unit = f" {row['unit']}" if row["unit"] else ""
    spread = f" ({_short(row['p10'])} to {_short(row['p90'])})" if "p10" in row else ""
    tail = f"{_short(row['p99'])}{unit}" if row["n"] >= 100 else ""
    theirs = row.get("theirs")
    beside = f"{_short(theirs['median'])}{unit}" if theirs else ""
    return (row["bench"], what, f"{row['n']:,}", f"{_short(row['median'])}{unit}{spread}", tail, row.get("peer", ""),
            beside, _times(row, theirs), _limit(row, unit))  # fmt: skip


def _times(row: Mapping[str, Any], theirs: Mapping[str, float] | None) -> str:
    """The peer's median over ours, where less is better and it makes sense."""
    if not theirs or row["unit"] == "%" or not row["median"]:
        return ""
    return f"{_short(theirs['median'] / row['median'])} times ours"


def _limit(row: Mapping[str, Any], unit: str) -> str:
    if "limit" not in row:
        return ""
    which = "p99" if "99th" in row["limit_is"] else "max" if row["limit_is"].startswith("of any") else "median"
    value = row.get(which, row["median"])
    kept = value <= row["limit"] if row["most"] else value >= row["limit"]
    said = f"{_short(row['limit'])}{unit} {row['limit_is']}".rstrip()
    return said if kept else f"{said}: not kept"


def _short(value: float) -> str:
    """Three figures, and no more zeros than that takes."""
    return f"{value:,.0f}" if abs(value) >= 100 or value == int(value) else f"{value:.3g}"


def written(text: str, page: str) -> str:
    """The document with the page between its marks. Raises ValueError where it has none."""
    before, after = text.index(BEGIN) + len(BEGIN), text.index(END)
    return f"{text[:before]}\n{page}\n{text[after:]}"
