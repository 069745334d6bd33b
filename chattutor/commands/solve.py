"""``chattutor solve``: the steps a teacher would write, each judged by sympy."""

import argparse
from typing import Any

from chattutor.commands import SUMMARIES

DESCRIPTION = """\
Reads JSON lines {"equation"} from standard input; writes for each
  {"kind": "one|none|every", "solution": "5/2"|null, "steps": [{"move"|"rewrite", "equation", "say"}]}
Every step is judged by sympy before it is written.
For a line that cannot be read it writes {"error": ...}; the exit code is then 1.
"""


def add_parser(subparsers: Any) -> None:
    """Describe the command."""
    subparsers.add_parser(
        "solve",
        help=SUMMARIES["solve"],
        description=DESCRIPTION,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )


def run(args: argparse.Namespace) -> int:
    """Answer standard input."""
    from chattutor.common.jsonlines import Unusable, answer_lines, text_of
    from dialogue.acts import to_json
    from dialogue.algebra import with_sympy
    from dialogue.algebra.equation import read_equation
    from dialogue.algebra.moves import Rewrite
    from dialogue.algebra.solver import Worked, in_words, solve_by_steps

    def shown(worked: Worked) -> dict[str, Any]:
        step = worked.step
        parts = {name: part for name, part in to_json(step).items() if name != "act"}
        done = {"rewrite": step.how} if isinstance(step, Rewrite) else {"move": parts}
        return {**done, "equation": worked.equation.text(), "say": in_words(step)}

    def answer(given: dict[str, Any]) -> dict[str, Any]:
        equation = read_equation(text_of(given, "equation"))
        solution = with_sympy.solution(equation)
        steps = solve_by_steps(equation)
        for worked in steps:
            if with_sympy.solution(worked.equation) != solution:
                raise Unusable(f"sympy finds that {worked.equation.text()} loses the solution; please report this.")
        return {
            "kind": solution.kind,
            "solution": None if solution.value is None else str(solution.value),
            "steps": [shown(worked) for worked in steps],
        }

    return answer_lines(answer)
