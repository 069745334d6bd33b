"""Numbers on the command line outside their bounds: one line, which names the option and the bounds."""

import pytest
from processes import chattutor


@pytest.mark.parametrize(
    ("words", "option", "said"),
    [
        (("demo", "--pause", "-1"), "--pause", "seconds from 0 to 60, please"),
        (("demo", "--pause", "nan"), "--pause", "seconds from 0 to 60, please"),
        (("lesson", "--minutes", "121"), "--minutes", "a whole number from 1 to 120, please"),
        (("lesson", "--silence", "0.2"), "--silence", "seconds from 0.3 to 5.0, please"),
        (("lesson", "--pace", "fast"), "--pace", "a number from 0.6 to 2.5, please"),
        (("equations", "make", "--stage", "1", "--count", "²"), "--count", "a whole number from 1 to 100000, please"),
        (("logs", "erase", "--older-than", "-1"), "--older-than", "a whole number from 0 to 36500, please"),
        (("logs", "xapi", "--home", "notaurl"), "--home", "a web address such as https://school.example, please"),
        (("lesson", "--stage", "six"), "--stage", "not a whole number: 'six'"),
    ],
)
def test_a_number_out_of_bounds_is_refused_on_one_line(words: tuple[str, ...], option: str, said: str) -> None:
    done = chattutor(*words)
    told = done.stderr.splitlines()
    assert (done.returncode, done.stdout, len(told)) == (2, "", 1)
    assert f"argument {option}: {said}" in told[0] and "--help'." in told[0]
