"""A verdict is given only where whose the work is, what was asked, and that its lines belong together, is certain."""

import pytest

from chattutor.paper import file_doubts, paper_doubts
from chattutor.paper.marking import MarkedWork, Unmarked
from chattutor.paper.paper_doubts import marked_with_certainty
from chattutor.paper.piece_of_work import PaperWork
from chattutor.paper.work import works


@pytest.mark.parametrize(
    ("typed", "doubt"),
    [
        ("B: 3(4 - x) = 6\nx = 2", paper_doubts.UNSURE_WHOSE),  # question B, or a learner?
        ("Ada\n1) 4x = 20\nx = 5\n\n3x + 1 = 10\nx = 3", paper_doubts.UNSURE_QUESTION),  # the others have numbers
        ("Ada\n1) 16/5*5 = 16\nx = 16", paper_doubts.UNSURE_SUM),
        ("Ada\n1) 3x + 1 = 12\n3x = 11\nx = 11/3\nBo\n1) 5x - 1 = 14\nx = 3", paper_doubts.UNSURE_OTHERS),
        ("Ada\n1) 9 - 3 = x - 2x\nx = -6", paper_doubts.UNSURE_WORKED),
        ("Ada\n1) 3(x - 1) = 2(x + 4)\n7x + 40 = 3\nx = -37/7", paper_doubts.UNSURE_FIRST),
        ("Ada\n1) 2x - 7 = 9\n2x = 2   [crossed out]\n2x = 16\nx = 8", paper_doubts.UNSURE_PUT_RIGHT),
        ("Ada\n1) 2x - 7 = 9\n2x = 16\nx = 8\nx = 3", paper_doubts.UNSURE_END),
        ("Ada\n1) 2x - 7 = 9\n2x = 16\nx = 8\n2x - 7 = 9\nx = 8", paper_doubts.UNSURE_END),  # all right, but whose?
        ("Ada\n1) 4x = 20\nx = 5\n2) 3x + 1 = 10\nx = 3\n1) 4x = 20\nx = 4", file_doubts.UNSURE_NAME),
        (
            "Ada: 3x = 6\nx = 2\n\nQuestion 5. Solve (2x - 1)/3 = x - 2\nAda: 2x - 1 = 3x - 2\nx = 1",
            file_doubts.UNSURE_BELOW,
        ),
        ("Ada\n1) 4x = 20\nx = 5\nRowena\n2) 3x + 1 = 10\nx = 4", file_doubts.UNSURE_NAME),  # a name among the lines
    ],
)
def test_without_evidence_work_is_handed_back_with_its_text(typed: str, doubt: str) -> None:
    found = list(marked_with_certainty(list(works(typed))))
    doubted = [each for each in found if isinstance(each, Unmarked)]
    assert any(each.sentence.startswith(doubt) and typed.splitlines()[-1] in each.sentence for each in doubted)


@pytest.mark.parametrize(
    ("typed", "wrong"),
    [
        ("Ada\n1) 2x - 7 = 9\n2x = 16\nx = 3", True),  # a right line before it
        ("Ada\n1) 2x - 7 = 9\n2x = 2\nx = 1", True),  # what a known error makes of a numbered question
        ("Ada\n1) 2x - 7 = 9\nx = 1", True),  # an answer alone
        ("Ada\n1) 5(2x - 3) = 4x + 9\n7x - 15 = 4x + 9", True),  # a side is the question's
        ("Ada\n1) 2x - 7 = 9\n2x = 2\nx = 1\nredo: 2x = 16\nx = 8", True),  # the learner says so
        ("Ada\n9 - 3 = 2x\nx = 3\n\nBo\n9 - 3 = 2x\nx = 3", False),  # two have it
        ("Ada\n3x + 1 = 10\nx = 3\n\n4x = 20\nx = 5", False),  # no question has a number
        ("U4: 2(n + 3) = 2n + 6\n6 = 6\nn = 0", True),  # 6 = 6 is no answer yet
    ],
)
def test_with_evidence_it_is_judged(typed: str, wrong: bool) -> None:
    found = list(marked_with_certainty(list(works(typed))))
    assert all(isinstance(each, MarkedWork) for each in found)
    assert any(line.wrong for each in found if isinstance(each, MarkedWork) for line in each.lines) == wrong


def test_a_file_of_which_too_much_is_lost_gets_no_verdict_at_all() -> None:
    lost = "".join(f"then {n}x = {n * n} she said, and {n}y = 2, no {n}x = 4\n" for n in range(3, 9))
    found = list(marked_with_certainty(list(works(f"Ada\n1) 4x = 20\nx = 5\n\n{lost}"))))
    assert found and not any(isinstance(each, MarkedWork) for each in found)
    assert any(each.sentence.startswith(file_doubts.UNSURE_FILE) for each in found if isinstance(each, Unmarked))


def test_nothing_under_a_question_is_not_called_not_attempted_where_what_follows_is_in_doubt() -> None:
    first, _ = marked_with_certainty(list(works("Ada\n1) x + 9 = 4\n2) 6x = 42\nx = -5\n6x = 42\nx = 7")))
    assert isinstance(first, Unmarked)
    assert first.sentence.startswith(file_doubts.UNSURE_NOTHING)


def test_a_message_of_distress_is_told_where_the_work_is_handed_back() -> None:
    piece = PaperWork(1, "B", "2x = 8", [(2, "i want to hurt myself")], lettered=True)
    (done,) = marked_with_certainty([piece])
    assert isinstance(done, Unmarked)
    assert "distress" in done.sentence
