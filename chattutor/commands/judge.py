"""``chattutor judge``: whether a step keeps the balance, whether it comes closer, and which errors explain it."""

import argparse
from functools import lru_cache
from typing import Any

from chattutor.commands import SUMMARIES

DESCRIPTION = """\
Reads JSON lines {"equation", "step"} or {"equation", "text"} from standard input, where step is one of
  {"move": {"operation": "add|subtract|multiply|divide", "operand": "3", "sides": "both|left|right|unsaid"}}
  {"state": "3*x = 12"}, {"state": "no solution"}, {"state": "all numbers"}
  {"rewrite": "expand|collect|swap|simplify"}
Writes {"balanced": true|false|null, "closer", "result", "errors", "signs", "reason"} for each; null where the step is
undefined. "signs" are ids of errors that a legal move bringing x no closer may hint at; one sign alone is not an error.
With "text" the words are understood first, and "acts" and "meaning" (the first step in them) are written too. Several
steps are judged in order, each line as the result of the move before it, up to the first that fails.
For a line that cannot be read it writes {"error": ...}; the exit code is then 1.
"""

NOT_A_STEP: dict[str, Any] = {
    "balanced": None,
    "closer": False,
    "result": None,
    "errors": [],
    "signs": [],
    "reason": "not a step",
}


def add_parser(subparsers: Any) -> None:
    """Describe the command."""
    subparsers.add_parser(
        "judge",
        help=SUMMARIES["judge"],
        description=DESCRIPTION,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )


def run(args: argparse.Namespace) -> int:
    """Answer standard input."""
    from chattutor.common.jsonlines import answer_lines, text_of
    from chattutor.common.steps import judgement_json, step_judged, step_of
    from dialogue.acts import to_json
    from dialogue.algebra.equation import read_equation

    read = lru_cache(maxsize=1024)(read_equation)

    def answer(given: dict[str, Any]) -> dict[str, Any]:
        equation = read(text_of(given, "equation"))
        if "text" not in given:
            return step_judged(equation, step_of(given.get("step"), equation.letter))
        from dialogue.claims import judge_in_order, steps_of, summed_up
        from dialogue.understanding.interpret import interpret  # not needed where steps are given

        acts = interpret(text_of(given, "text"), "any", equation.letter).acts
        claims = judge_in_order(equation, steps_of(acts, equation.letter))
        out = judgement_json(summed_up(equation, claims)) if claims else NOT_A_STEP
        meant = next((act for act in acts if steps_of((act,), equation.letter)), acts[0])
        return out | {"meaning": to_json(meant), "acts": [to_json(act) for act in acts]}

    return answer_lines(answer)
