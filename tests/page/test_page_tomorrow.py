"""Tomorrow's lesson in real Chromium: the teacher makes and sets it on the page, and a learner's code takes it up."""

import re
from pathlib import Path

import pytest
from browser import needs_chromium
from invented_class import write_class
from playwright.sync_api import Browser
from served import Served, begun, say

from chattutor.session_logs.next_lesson import next_set
from chattutor.session_logs.reader import read_session
from dialogue.algebra.equation import read_equation
from dialogue.algebra.writing import BOARD, write

pytestmark = [needs_chromium, pytest.mark.timeout(120)]


def test_each_code_gets_what_the_teacher_set_for_it(chromium: Browser, tmp_path: Path) -> None:
    logs = write_class(tmp_path / "class", 4, 2, seed=3)
    codes = sorted(path.name for path in logs.iterdir() if path.is_dir())
    with Served(logs) as served:
        teacher = chromium.new_page()
        teacher.goto(served.teacher)
        teacher.get_by_role("link", name="Tomorrow").click()
        teacher.get_by_label("make these equations each learner's next lesson").check()
        teacher.get_by_role("button", name="Make it").click()
        teacher.get_by_role("link", name=re.compile("^equations for each learner")).wait_for()
        told = {code: [read_equation(row.equation) for row in next_set(logs, code)] for code in codes}
        assert all(3 <= len(equations) <= 8 for equations in told.values())
        assert len({equations[0].text() for equations in told.values()}) > 1
        for code in codes[:2]:
            page = chromium.new_context().new_page()
            begun(page, served, code)
            first, *_ = told[code]
            left, right = (write(side, BOARD) for side in first.sides())
            assert page.locator("#notices").inner_text() == "Your teacher chose these equations for you."
            drawn = page.locator("#balance svg").get_attribute("aria-label")
            assert drawn == f"A balance, level. Left: {left}. Right: {right}."
            say(page, f"{first.letter} = {first.solution().value}")
            page.context.close()
            log = max((logs / code).glob("2*.jsonl"))  # the newest; names begin with the time
            header = read_session(log).header
            assert header is not None
            assert [read_equation(each.equation) for each in header.plan.tasks] == told[code]
            assert next_set(logs, code) == [], "it serves one lesson"
