"""The three commands for scripts: JSON lines in, JSON lines out, in the same order, whatever is in them."""

import json
import signal
import subprocess
from typing import Any

import pytest
from processes import PROGRAM, ROOT, chattutor, start

from chattutor.common.output import json_line


def _answers(command: str, *lines: str | bytes) -> tuple[list[dict[str, Any]], int]:
    given = b"\n".join(line.encode() if isinstance(line, str) else line for line in lines) + b"\n"
    done = chattutor(command, given=given)
    assert done.stderr == ""
    return [json.loads(line) for line in done.stdout.splitlines()], done.returncode


def test_solve_writes_the_steps_of_a_teacher() -> None:
    (one, none, every), code = _answers(
        "solve", '{"equation": "2*x + 3 = 8"}', '{"equation": "3x+4=3x+9"}', '{"equation": "2(n + 3) = 2n + 6"}'
    )
    assert code == 0
    assert one == {
        "kind": "one",
        "solution": "5/2",
        "steps": [
            {
                "move": {"operation": "subtract", "operand": "3", "sides": "both"},
                "equation": "2*x = 5",
                "say": "Subtract 3 from both sides.",
            },
            {
                "move": {"operation": "divide", "operand": "2", "sides": "both"},
                "equation": "x = 5/2",
                "say": "Divide both sides by 2.",
            },
        ],
    }
    assert (none["kind"], none["solution"], none["steps"][-1]["equation"]) == ("none", None, "4 = 9")
    assert (every["kind"], every["solution"]) == ("every", None)
    assert every["steps"][0]["rewrite"] == "expand"


@pytest.mark.parametrize(
    ("step", "balanced", "closer", "result"),
    [
        ({"move": {"operation": "subtract", "operand": "3", "sides": "both"}}, True, True, "2*x = 5"),
        ({"move": {"operation": "add", "operand": "3", "sides": "both"}}, True, False, "2*x + 6 = 11"),
        ({"move": {"operation": "subtract", "operand": "3", "sides": "left"}}, False, False, "2*x = 8"),
        ({"move": {"operation": "divide", "operand": "0", "sides": "both"}}, None, False, None),
        ({"move": {"operation": "subtract", "operand": "3"}}, True, True, "2*x = 5"),
        ({"state": "2*x = 5"}, True, True, None),
        ({"state": "5 = 2x"}, True, True, None),
        ({"state": "2*x = 11"}, False, False, None),
        ({"state": "no solution"}, False, False, None),
        ({"state": "all numbers"}, False, False, None),
        ({"rewrite": "swap"}, True, False, "8 = 2*x + 3"),
    ],
)
def test_judge_takes_every_kind_of_step(
    step: dict[str, Any], balanced: bool | None, closer: bool, result: str | None
) -> None:
    (out,), code = _answers("judge", json.dumps({"equation": "2*x + 3 = 8", "step": step}))
    assert code == 0
    assert (out["balanced"], out["closer"], out["result"]) == (balanced, closer, result)
    assert isinstance(out["errors"], list)


def test_judge_understands_text_first() -> None:
    (moved, answer, asked), code = _answers(
        "judge",
        '{"equation": "2*n + 3 = 8", "text": "subtract 3 from both sides"}',
        '{"equation": "2*n + 3 = 8", "text": "n = 5/2"}',
        '{"equation": "2*n + 3 = 8", "text": "hint"}',
    )
    assert code == 0
    assert (moved["balanced"], moved["closer"], moved["result"]) == (True, True, "2*n = 5")
    assert moved["meaning"] == {"act": "move", "operation": "subtract", "operand": "3", "sides": "both"}
    assert (answer["balanced"], answer["closer"]) == (True, True)
    assert (asked["balanced"], asked["reason"]) == (None, "not a step")


def test_understand_gives_the_meaning() -> None:
    (move, value), code = _answers(
        "understand", '{"text": "take 4 off both sides"}', '{"text": "7", "expecting": "value", "equation": "n = 7"}'
    )
    assert code == 0
    said = {"act": "move", "operation": "subtract", "operand": "4", "sides": "both"}
    assert move == {"acts": [said], "sure": True, "meaning": said}
    assert value == {"acts": [{"act": "value", "value": "7"}], "sure": True, "meaning": {"act": "value", "value": "7"}}


BAD = [
    ("", "This line is not JSON: Expecting value (column 1)."),
    ("{", "This line is not JSON: Expecting property name enclosed in double quotes (column 2)."),
    ("[1]", "This line is JSON, but not an object."),
    ("{}", '"equation" is missing.'),
    ('{"equation": 3}', '"equation" must be a string.'),
    (b'{"equation": "\xff"}', "This line is not UTF-8 text (byte 14)."),
    ("[" * 20_000, "This line is not JSON that can be used here."),
    ('{"equation": ' + "9" * 5_000 + "}", "This line is not JSON that can be used here."),
    ('{"equation": "' + "x" * 70_000 + '"}', "This line is longer than 65536 bytes."),
]


@pytest.mark.parametrize("command", ["solve", "judge"])
def test_a_line_that_cannot_be_read_is_answered_in_its_place(command: str) -> None:
    good = json.dumps({"equation": "x = 1", "step": {"state": "x = 1"}})
    lines = [line for bad, _ in BAD for line in (bad, good)]
    answers, code = _answers(command, *lines)
    assert code == 1
    assert [answer["error"] for answer in answers[::2]] == [message for _, message in BAD]
    assert all("error" not in answer for answer in answers[1::2])
    assert len(answers) == len(lines)


@pytest.mark.parametrize(
    "equation",
    ["x^2 = 4", "x + y = 3", "3x + 2", "x = 1 = 2", "1/x = 2", "1/0 = x", "__import__('os') = x", "9**9**9**9 = x",
     "🙂 = x", "\u0000", "(" * 10_000 + "x" + ")" * 10_000 + " = 1", "x < 3", "", " "],
)  # fmt: skip
def test_what_is_out_of_scope_is_refused_in_one_sentence(equation: str) -> None:
    (out,), code = _answers("solve", json.dumps({"equation": equation}))
    assert code == 1
    assert set(out) <= {"error", "at"}
    assert out["error"].endswith((".", "?"))
    assert "\n" not in out["error"]


@pytest.mark.parametrize(
    "given",
    [
        {"equation": "x = 1"},
        {"equation": "x = 1", "step": "x"},
        {"equation": "x = 1", "step": {}},
        {"equation": "x = 1", "step": {"move": {"operation": "square", "operand": "2"}}},
        {"equation": "x = 1", "step": {"move": {"operation": "add", "operand": 2}}},
        {"equation": "x = 1", "step": {"move": {"operation": [], "operand": "2"}}},
        {"equation": "x = 1", "step": {"move": {"operation": "add", "operand": "2", "sides": "up"}}},
        {"equation": "x = 1", "step": {"move": {"operation": "add", "operand": "y", "sides": "both"}}},
        {"equation": "x = 1", "step": {"rewrite": "delete"}},
        {"equation": "x = 1", "text": None},
    ],
)
def test_a_step_that_is_none_is_refused(given: dict[str, Any]) -> None:
    (out,), code = _answers("judge", json.dumps(given))
    assert (code, next(iter(out))) == (1, "error")


def test_understand_refuses_an_unknown_question() -> None:
    answers, code = _answers("understand", '{"text": "x", "expecting": "poem"}', '{"text": "x", "expecting": []}')
    assert code == 1
    assert all(answer["error"].startswith('"expecting" must be one of any, move') for answer in answers)


def test_control_characters_go_out_escaped_and_come_back_whole() -> None:
    every = {"C1 \x80\x9f": "delete \x7f, and \u202e turned", "kept": "3½ × θ"}
    assert json_line(every) == '{"C1 \\u0080\\u009f": "delete \\u007f, and \\u202e turned", "kept": "3½ × θ"}'
    assert json.loads(json_line(every)) == every


def test_lone_surrogates_come_back_as_json() -> None:
    (out,), code = _answers("solve", '{"equation": "\\ud800 = 1"}')
    assert code == 1
    assert "error" in out


def test_no_input_is_no_output() -> None:
    done = chattutor("solve")
    assert (done.stdout, done.stderr, done.returncode) == ("", "", 0)


def test_a_last_line_without_its_end_is_answered() -> None:
    done = chattutor("solve", given='{"equation": "x = 1"}')
    assert json.loads(done.stdout) == {"kind": "one", "solution": "1", "steps": []}


def test_a_program_may_wait_for_each_answer() -> None:
    with start("judge") as process:
        assert process.stdin and process.stdout
        for number in range(3):
            process.stdin.write(f'{{"equation": "x = {number}", "step": {{"state": "x = 1"}}}}\n'.encode())
            process.stdin.flush()
            assert json.loads(process.stdout.readline())["balanced"] is (number == 1)
        process.stdin.close()
        assert process.wait(timeout=20) == 0


def test_a_reader_that_goes_away_is_no_fuss() -> None:
    program = f"yes '{{}}' | {' '.join(PROGRAM)} solve | head -1; echo ${{PIPESTATUS[1]}}"
    done = subprocess.run(["bash", "-c", program], capture_output=True, text=True, cwd=ROOT, timeout=60, check=False)
    assert done.stdout.splitlines() == ['{"error": "\\"equation\\" is missing."}', "141"]
    assert "Traceback" not in done.stderr


def test_interrupting_is_no_fuss() -> None:
    with start("solve") as process:
        assert process.stdin and process.stdout and process.stderr
        process.stdin.write(b'{"equation": "x = 1"}\n')
        process.stdin.flush()
        process.stdout.readline()
        process.send_signal(signal.SIGINT)
        assert process.wait(timeout=20) == 130
        assert process.stderr.read().strip() == b""


def test_memory_does_not_grow_with_the_number_of_lines() -> None:
    few, many = (_peak(count) for count in (1_000, 60_000))
    assert many - few < 2_500  # kilobytes; the lines themselves are 3,000, and more come out


def _peak(lines: int) -> int:
    """The most memory a run uses, in kilobytes (Linux), reading so many lines."""
    line = '{"equation": "x = 1", "step": {"state": "no"}}'
    program = f"yes '{line}' | head -{lines} | {' '.join(PROGRAM)} judge | tail -1 >/dev/null"
    report = (
        "import resource, subprocess, sys\n"
        f"subprocess.run(['bash', '-c', {program!r}])\n"
        "print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss)"
    )
    done = subprocess.run([PROGRAM[0], "-c", report], capture_output=True, text=True, cwd=ROOT, check=True)
    return int(done.stdout)
