"""What is listened for is the same for every equation of a stage, so that it cannot lean towards the right answer."""

from collections import defaultdict
from dataclasses import replace
from functools import cache
from typing import get_args

import pytest

from chattutor.lesson.voice.languages import as_speech
from dialogue.acts import Expecting
from dialogue.learner.families import draw
from dialogue.learner.stages import stages
from dialogue.tutor import begin, expecting
from dialogue.tutor.core.state import Phase, Plan, Task
from dialogue.understanding.recognition_grammar import hearable
from speech.language.phrase import phrase_hash

EQUATIONS = 12  # of each stage


@cache
def language(asked: Expecting, letter: str) -> str:
    """What is listened for, as its digest."""
    return phrase_hash(as_speech(hearable(asked, letter), {}))


def listened_for(task: Task, phase: Phase) -> str:
    """The language of a lesson on this equation that stands in this phase."""
    state = replace(begin(Plan((task,))).state, phase=phase)
    return language(expecting(state), state.letter)


@pytest.mark.parametrize("number", [stage.number for stage in stages()])
def test_every_equation_of_a_stage_is_listened_to_alike(number: int) -> None:
    by_letter: dict[str, list[Task]] = defaultdict(list)
    for drawn in draw(number, 3, EQUATIONS):
        by_letter[drawn.equation.letter].append(Task(drawn.equation, number))
    for tasks in by_letter.values():
        for phase in get_args(Phase):
            assert len({listened_for(task, phase) for task in tasks}) == 1, phase


def test_the_letter_alone_makes_a_difference() -> None:
    assert language("move", "x") != language("move", "n")
