"""``chattutor understand``: what words mean."""

import argparse
from functools import lru_cache
from typing import Any

from chattutor.commands import SUMMARIES

DESCRIPTION = """\
Reads JSON lines {"text", "expecting"?, "equation"?, "tutor"?} from standard input; writes for each
{"acts": [...], "sure", "meaning"}: the dialogue acts in the order said, whether they are sure enough to act on, and
the main one. "expecting" is what was just asked: any (the default), move, value, equation, yesno, why, operations,
term or balance; "tutor" is the tutor's sentence. Of the equation only its letter is used.
For a line that cannot be read it writes {"error": ...}; the exit code is then 1.
"""


def add_parser(subparsers: Any) -> None:
    """Describe the command."""
    subparsers.add_parser(
        "understand",
        help=SUMMARIES["understand"],
        description=DESCRIPTION,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )


def run(args: argparse.Namespace) -> int:
    """Answer standard input."""
    from chattutor.common.jsonlines import Unusable, answer_lines, text_of
    from dialogue.acts import EXPECTING, to_json
    from dialogue.algebra.equation import read_equation
    from dialogue.understanding.interpret import first_that_counts, interpret

    @lru_cache(maxsize=1024)
    def letter_of(equation: str) -> str:
        return read_equation(equation).letter

    def answer(given: dict[str, Any]) -> dict[str, Any]:
        text = text_of(given, "text")
        expecting = given.get("expecting", "any")
        if expecting not in EXPECTING:
            raise Unusable(f'"expecting" must be one of {", ".join(EXPECTING)}.')
        letter = letter_of(text_of(given, "equation")) if given.get("equation") is not None else "x"
        tutor = text_of(given, "tutor") if given.get("tutor") is not None else ""
        found = interpret(text, expecting, letter, tutor)
        acts = [to_json(act) for act in found.acts]
        return {"acts": acts, "sure": found.sure, "meaning": to_json(first_that_counts(found))}

    return answer_lines(answer)
