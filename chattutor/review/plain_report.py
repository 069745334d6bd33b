"""A half page on one learner for a parent or a report: plain words, facts of the lessons, and what they do not say."""

from typing import Any

from chattutor.review.evidence import Learner
from chattutor.review.over_time import gained, learner_row
from chattutor.review.phrasing import counted, on_board
from dialogue.learner.stages import stages

CAUTIONS = (
    "This is made from what was typed or said in lessons with a computer. It may have misheard or misread; the teacher "
    "knows more. It is not a grade, and it compares the learner with nobody. Not everything done in class or at home "
    "is in it."
)
OF_TIME = (
    "Minutes are counted from a session's first turn to its last, pauses of more than two minutes as two. They say "
    "when there was work, and nothing about effort. Half-terms begin on the days that the teacher set (--half-terms); "
    "where none are set, about when schools in England begin them."
)
AT_HOME = (
    "Ask what happens to the unknown number, in order, and how to get back. Wait; a long silence is thinking. Ask how "
    "the answer can be checked by putting it in. Please do not show the steps."
)


def plain_report(learner: Learner, next_stage: int) -> list[dict[str, str]]:
    """The paragraphs, each with the words it begins with."""
    row = learner_row(learner)
    worked = sorted({one.stage for one in learner.tried.values() if one.worked_on and one.counts and one.stage})
    minutes = counted(row["minutes"], "minute") if row["minutes"] else "less than a minute"
    much = f"{counted(row['lessons'], 'lesson')} on equations, {minutes} of work"
    alone = f"{row['alone']} of them right without help and without a wrong step on the way"
    parts = [_part("", f"{much}: {counted(row['equations'], 'equation')}, {alone}.")]
    if worked:
        parts.append(_part("Worked on:", f"{_named(worked)}."))
    if row["gained"]:
        parts.append(_part("Can do alone:", f"{_named([stage for stage, _ in gained(learner)])}."))
    if row["here"]:
        parts.append(_part("Is being worked on:", f"{'; '.join(map(_lower, row['here']))}."))
    if row["gone"]:
        parts.append(_part("Put right:", f"{'; '.join(map(_lower, row['gone']))}."))
    if 1 <= next_stage <= len(stages()):
        sample = stages()[next_stage - 1]
        parts.append(_part("Next:", f"{_lower(sample.name)}, such as {on_board(sample.sample)}."))
    parts.append(_part("What helps at home:", AT_HOME))
    return parts


def report_lines(name: str, parts: list[dict[str, str]]) -> list[str]:
    """The report as lines of text."""
    return [name, "", *(f"{part['head']} {part['words']}".strip() for part in parts), "", CAUTIONS]


def _part(head: str, words: str) -> dict[str, str]:
    return {"head": head, "words": words}


def _named(numbers: list[int]) -> str:
    return "; ".join(_lower(stages()[number - 1].name) for number in numbers)


def _lower(text: str) -> str:
    return f"{text[:1].lower()}{text[1:]}"


def over_time_lines(page: dict[str, Any]) -> list[str]:
    """The weeks and the learners as lines for a terminal."""
    found = ["By half-term"]
    found += [f"  {row['name']} ({row['from']} to {row['to']}): {_span(row)}" for row in page["half_terms"]]
    found += ["", "By week"]
    found += [f"  from {row['week']}: {_span(row)}" for row in page["weeks"]]
    found += ["", "By learner"]
    for row in page["learners"]:
        stages = "stage" if len(row["gained"]) == 1 else "stages"
        more = [f"gained {stages} {', '.join(map(str, row['gained']))}"] if row["gained"] else []
        more += [f"still: {'; '.join(row['here'])}"] if row["here"] else []
        more += [f"gone: {'; '.join(row['gone'])}"] if row["gone"] else []
        more += [f"stuck most at {on_board(row['stuck'][0]['line'])}"] if row["stuck"] else []
        found.append(f"  {row['code']}: {counted(row['lessons'], 'lesson')}, {counted(row['minutes'], 'minute')}, "
                     f"{row['alone']} of {counted(row['equations'], 'equation')} independent"
                     + "".join(f"; {each}" for each in more))  # fmt: skip
    return [*found, "", OF_TIME]


def _span(row: dict[str, Any]) -> str:
    return (
        f"{counted(row['learners'], 'learner')}, {counted(row['lessons'], 'lesson')}, "
        f"{counted(row['minutes'], 'minute')}, {row['alone']} of {counted(row['equations'], 'equation')} independent, "
        f"{counted(row['gained'], 'stage')} gained"
    )
