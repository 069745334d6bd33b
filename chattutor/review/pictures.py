"""The three pictures of the pages: stage by learner, how often each error, one learner's path over lessons."""

from collections import Counter
from collections.abc import Sequence
from itertools import pairwise
from typing import Any

from chattutor.review.drawing import BAND, BLUE, MARKERS, Canvas
from chattutor.review.phrasing import clipped, counted, stage_name, times
from chattutor.session_logs.transcript import local

WIDE = 527  # points across A4 between margins of 12 mm
ROW, CODE, CELL = 11, (40, 92), 22  # points a learner, of the codes (least, most), and at most a stage
LETTER = 4.4  # points of a letter of a code, about
SIDE_BY_SIDE = 12  # more learners than this stand in two parts
LONGEST = 20  # letters of a code
ERRORS, ERROR_ROW, ERROR_WIDE = 4, 21, 255
LATEST, PATH_ROW, NAMES = 72, 15, 46  # equations of a path; points a stage, and of the names of the stages


def stage_grid(learners: Sequence[dict[str, Any]], numbers: Sequence[int]) -> str:
    """A row a learner, a column a stage, in each place how the latest equation of that stage went."""
    parts = 2 if len(learners) > SIDE_BY_SIDE else 1
    height = -(-len(learners) // parts)
    part_wide = WIDE / parts - (10 if parts > 1 else 0)
    longest = max((len(short(learner["code"])) for learner in learners), default=0)
    code = min(CODE[1], max(CODE[0], LETTER * longest + 6))
    cell = min(CELL, (part_wide - code) / max(1, len(numbers)))
    canvas = Canvas(WIDE, ROW * (height + 1) + 15)
    for part in range(parts):
        x = part * (WIDE / parts + 5)
        wide = code + cell * len(numbers)
        for column, number in enumerate(numbers):
            size = 5.0 if not number and cell < 17 else min(7, cell * 0.58)
            canvas.text(x + code + cell * (column + 0.5), ROW / 2, number or "own", size, "center", bold=True)
        canvas.line(x, ROW, x + wide, ROW)
        for row, learner in enumerate(learners[part * height : (part + 1) * height]):
            top = ROW * (row + 1)
            if row % 2:
                canvas.bar(x, top, wide, ROW, BAND)
            canvas.text(x + 2, top + ROW / 2, short(learner["code"]))
            for column, number in enumerate(numbers):
                if found := learner["stages"].get(str(number)):
                    canvas.mark(x + code + cell * (column + 0.5), top + ROW / 2, found["now"])
    canvas.key(6, ROW * (height + 1) + 8)
    return canvas.svg("stages", "Stage by learner, by independence", grid_told(learners, numbers))


def grid_told(learners: Sequence[dict[str, Any]], numbers: Sequence[int]) -> str:
    """The grid in words, counted by stage; who is where is in the table beside it."""
    told = []
    for number in numbers:
        now = Counter(row["now"] for learner in learners if (row := learner["stages"].get(str(number))))
        told.append(f"{stage_name(number)}: " + ", ".join(f"{now[each]} {each}" for each in MARKERS if now[each]))
    return f"{counted(len(learners), 'learner')}. {'; '.join(told)}. Each learner is in the table that follows."


def error_bars(errors: Sequence[dict[str, Any]]) -> str:
    """A bar an error, as long as it was seen often."""
    shown = errors[:ERRORS]
    canvas = Canvas(ERROR_WIDE, ERROR_ROW * len(shown) + 2)
    longest = max(row["count"] for row in shown)
    for place, row in enumerate(shown):
        top = ERROR_ROW * place
        canvas.text(0, top + 6, row["name"], 7)
        wide = max(2.0, (ERROR_WIDE - 92) * row["count"] / longest)
        canvas.bar(0, top + 11.5, wide, 6.5)
        canvas.text(wide + 4, top + 14.8, times(row), 7)
    told = "; ".join(f"{row['name']}: {times(row)}" for row in shown)
    return canvas.svg("errors", "How often each error was seen", f"{told}.")


def path(steps: Sequence[dict[str, Any]]) -> str:
    """One learner's equations in order, a lesson a band, as high as their stage: the latest that fit on paper."""
    shown = sorted(steps, key=lambda one: one["when"])[-LATEST:]
    stages = sorted({one["stage"] for one in shown}, reverse=True)
    lessons = list(dict.fromkeys(one["when"] for one in shown))
    gap = min(20.0, (WIDE - NAMES - 8 * len(lessons)) / len(shown))
    floor = PATH_ROW * len(stages) + 4
    canvas = Canvas(WIDE, floor + 32)
    x = float(NAMES)
    for number, lesson in enumerate(lessons):
        here = [one for one in shown if one["when"] == lesson]
        wide = gap * len(here) + 8
        if not number % 2:
            canvas.bar(x, 0, wide, floor, BAND)
        points = [(x + 4 + gap * (place + 0.5), _height(stages, one)) for place, one in enumerate(here)]
        for (left, up), (right, down) in pairwise(points):
            canvas.line(left, up, right, down)
        for (across, down), one in zip(points, here, strict=True):
            canvas.mark(across, down, one["outcome"])
        if wide >= 22 or not number % 2:
            canvas.text(x + wide / 2, floor + 7, local(lesson)[5:10], 6.5, "center")
        x += wide
    for place, stage in enumerate(stages):
        canvas.text(0, PATH_ROW * (place + 0.5) + 2, stage_name(stage), 7)
    canvas.line(NAMES, floor, x, floor, BLUE)
    canvas.key(NAMES + 6, floor + 23)
    return canvas.svg("path", "Path over lessons", path_told(shown))


def _height(stages: Sequence[int], one: dict[str, Any]) -> float:
    return PATH_ROW * (stages.index(one["stage"]) + 0.5) + 2


def path_told(steps: Sequence[dict[str, Any]]) -> str:
    """The path in words: a lesson, its stages, and how many equations of each went which way."""
    lessons: dict[str, dict[int, Counter[str]]] = {}
    for one in steps:
        counts = lessons.setdefault(one["when"], {}).setdefault(one["stage"], Counter())
        counts[one["outcome"]] += 1
    told = []
    for when, stages in lessons.items():
        parts = [
            f"{stage_name(stage)}: " + ", ".join(f"{counts[each]} {each}" for each in MARKERS if counts[each])
            for stage, counts in sorted(stages.items())
        ]
        told.append(f"{local(when)[:10]}: {'; '.join(parts)}")
    return f"{'. '.join(told)}."


def short(code: str) -> str:
    """A code that fits its place."""
    return clipped(code, LONGEST)
