"""Numbers that a question puts in for the unknown: never the answer itself."""

from dataclasses import replace

import pytest
from talking import task

from dialogue.algebra.misconceptions import error_table
from dialogue.tutor.core.mistakes import question_about
from dialogue.tutor.core.state import Plan
from dialogue.tutor.reply_plan import named
from dialogue.tutor.session import begin
from dialogue.verbalising.replies import word
from dialogue.verbalising.sayings import Saying

# found by some 55,000 invented lessons: "If x were 5, what would 9x be worth?" where x is 5
EQUATIONS = {2: "3x + 2 = 8", 3: "3x + 2 = 11", 5: "26 = 71 - 9x", 6: "3x + 2 = 20"}


@pytest.mark.parametrize("answer", EQUATIONS)
def test_no_question_about_an_error_puts_in_the_answer(answer: int) -> None:
    before = begin(Plan((task(EQUATIONS[answer]),))).state
    for error in error_table():
        for met in range(3):
            seen = ((before.place, error),) * met
            earlier = replace(before, seen=seen)
            said = question_about(earlier, replace(earlier, seen=(*seen, (before.place, error))))
            assert said.values["met"] == met
            text = word(Saying(said.key, {**named(earlier), **said.values}), 0).text
            assert f"as {answer}" not in text and f"were {answer}" not in text
