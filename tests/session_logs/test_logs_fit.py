"""``chattutor logs fit``: from session logs to parameters, checked against scipy on the same first tries."""

import json
from pathlib import Path
from random import Random

import pytest
from logs import add, log_of, plan, said
from processes import chattutor
from scipy.optimize import minimize

from chattutor.session_logs.schema import Settings
from chattutor.session_logs.tracing_fit import fits
from dialogue.learner.families import draw
from dialogue.learner.fitting import log_likelihood
from dialogue.learner.tracing import Parameters, bounds

TRUE = Parameters(0.35, 0.2, 0.15, 0.06)


@pytest.fixture(scope="module")
def logs(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, list[list[bool]]]:
    """Sixty invented learners who follow the model, eight equations of each of two stages; and their first tries."""
    folder, random, sequences = tmp_path_factory.mktemp("logs"), Random(4), list[list[bool]]()
    equations = {number: [task.equation.text() for task in draw(number, 1, 8)] for number in (3, 6)}
    for number in range(60):
        learner = f"crane-{number}"
        tasks: list[dict[str, object]] = []
        turns: list[dict[str, object]] = []
        for stage, texts in equations.items():
            known, answers = random.random() < TRUE.start, []
            for text in texts:
                right = random.random() < (1 - TRUE.slip if known else TRUE.guess)
                known = known or random.random() < TRUE.learn
                answers.append(right)
                usual = {"task": len(tasks), "level": "independent", "channel": "typed", "line": text}
                if not right:
                    turns.append(
                        usual | {"event": "line broken", "balanced": False, "errors": ["subtract-coefficient"]}
                    )
                turns.append(usual | {"event": "value right", "solved": text})
                tasks.append({"equation": text, "stage": stage, "exit": False, "purpose": "practice"})
            sequences.append(answers)
        log = log_of(folder, learner, plan(tasks=tasks), Settings(invented=True))
        add(log, {"event": "begin"})
        for record in turns:
            add(log, record, said())
        log.end("finished")
    return folder, sequences


def test_the_fit_is_the_one_scipy_finds(logs: tuple[Path, list[list[bool]]]) -> None:
    """scipy's L-BFGS-B on the same likelihood, from two starts."""
    folder, sequences = logs
    (row,) = fits(folder, "everything")
    assert (row.learners, row.tries) == (60, 960)
    assert row.found is not None
    best = min(
        float(
            minimize(
                lambda each: -log_likelihood(sequences, Parameters(*each)), start, bounds=bounds(), method="L-BFGS-B"
            ).fun
        )
        for start in ([0.25, 0.15, 0.1, 0.08], [0.5, 0.3, 0.2, 0.05])
    )
    assert log_likelihood(sequences, row.found) == pytest.approx(-best, abs=0.02)
    assert row.better >= 1


def test_the_command_prints_a_table_and_json(logs: tuple[Path, list[list[bool]]]) -> None:
    folder, _ = logs
    done = chattutor("logs", "fit", folder, "--by", "stage")
    assert (done.returncode, done.stderr) == (0, "")
    lines = done.stdout.splitlines()
    assert [line[:12].strip() for line in lines[:5]] == ["", "in use", "everything", "stage 3", "stage 6"]
    done = chattutor("logs", "fit", "--logs", folder, "--by", "idea", "--json")
    rows = [json.loads(line) for line in done.stdout.splitlines()]
    assert rows[0]["what"] == "everything" and {"start", "learn", "guess", "slip", "better"} <= set(rows[0])
    assert {"inverse", "both-sides", "order"} <= {row["what"] for row in rows}


def test_too_few_first_tries_are_one_clear_line(tmp_path: Path) -> None:
    done = chattutor("logs", "fit", tmp_path)
    assert (done.returncode, done.stdout) == (1, "")
    assert done.stderr == (
        f"chattutor: There are 0 unaided first tries on equations of a stage in {tmp_path}; a fit needs at least 30.\n"
    )
