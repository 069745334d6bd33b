"""Where everything stands in the picture of one learner's path: equations in order, a band a lesson, as high as their
stage. In points; the template draws it."""

from collections import Counter
from collections.abc import Sequence
from typing import Any

from chattutor.review.evidence import OUTCOMES
from chattutor.review.phrasing import stage_name
from chattutor.session_logs.transcript import local

WIDE = 527.0  # points across A4 between margins of 12 mm
LATEST, ROW, NAMES = 72, 15, 46  # equations shown; points a stage, and of the names of the stages


def path_picture(steps: Sequence[dict[str, Any]]) -> dict[str, Any] | None:
    """The latest equations that fit on paper: bands, names of stages, marks, the line between them, and it in words."""
    shown = sorted(steps, key=lambda one: str(one["when"]))[-LATEST:]
    if not shown:
        return None
    stages = sorted({one["stage"] for one in shown}, reverse=True)
    lessons = list(dict.fromkeys(one["when"] for one in shown))
    gap = min(20.0, (WIDE - NAMES - 4 - 8 * len(lessons)) / len(shown))
    bands, marks = [], []
    x = float(NAMES)
    for number, lesson in enumerate(lessons):
        here = [one for one in shown if one["when"] == lesson]
        wide = gap * len(here) + 8
        named = wide >= 22 or not number % 2
        at = [(x + 4 + gap * (place + 0.5), _height(stages, one)) for place, one in enumerate(here)]
        bands.append({
            "x": x, "wide": wide, "shaded": not number % 2, "day": local(lesson)[5:10] if named else "",
            "points": " ".join(f"{across:.1f},{down:.1f}" for across, down in at),
        })  # fmt: skip
        marks += [
            {"x": across, "y": down, "outcome": one["outcome"]} for (across, down), one in zip(at, here, strict=True)
        ]
        x += wide
    floor = ROW * len(stages) + 4
    return {
        "wide": round(x + 4, 1), "high": floor + 16, "floor": floor, "to": x, "left": NAMES,
        "bands": bands, "marks": marks,
        "names": [{"y": ROW * (place + 0.5) + 2, "name": stage_name(stage)} for place, stage in enumerate(stages)],
        "told": path_told(shown),
    }  # fmt: skip


def _height(stages: Sequence[int], one: dict[str, Any]) -> float:
    return ROW * (stages.index(one["stage"]) + 0.5) + 2


def path_told(steps: Sequence[dict[str, Any]]) -> str:
    """The path in words: a lesson, its stages, and how many equations of each went which way."""
    lessons: dict[str, dict[int, Counter[str]]] = {}
    for one in steps:
        lessons.setdefault(one["when"], {}).setdefault(one["stage"], Counter())[one["outcome"]] += 1
    told = []
    for when, stages in lessons.items():
        parts = [
            f"{stage_name(stage)}: " + ", ".join(f"{counts[each]} {each}" for each in OUTCOMES if counts[each])
            for stage, counts in sorted(stages.items())
        ]
        told.append(f"{local(when)[:10]}: {'; '.join(parts)}")
    return f"{'. '.join(told)}."
