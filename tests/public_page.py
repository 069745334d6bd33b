"""The page of the public functions, from the code: ``python tests/public_page.py`` writes ``chattutor/PUBLIC.md``."""

import inspect
import re
from importlib import import_module
from pathlib import Path

PAGE = Path(__file__).parent.parent / "chattutor" / "PUBLIC.md"
PUBLIC = {
    "dialogue.algebra.equation": ("read_equation",),
    "dialogue.algebra.solver": ("solve_by_steps",),
    "dialogue.judgement": ("judge",),
    "dialogue.understanding.interpret": ("interpret", "understand"),
    "dialogue.acts": ("to_json",),
    "dialogue.tutor.session": ("begin", "step", "give", "expecting", "is_over"),
    "dialogue.learner.families": ("draw",),
    "dialogue.learner.choice": ("choose",),
    "dialogue.verbalising.speak": ("say_equation", "say_expression"),
    "speech.registry": ("choose_engine",),
    "speech.recognition.engines": ("recognisers",),
    "speech.synthesis.speakers": ("speakers",),
    "speech.audio.sound": ("read_audio",),
    "chattutor.session_logs.reader": ("read_session",),
    "chattutor.session_logs.replay": ("replay",),
}
QUALIFIED = re.compile(r"\b(?:dialogue|speech|chattutor|pathlib|fractions|collections|typing)\.(?:\w+\.)*")
HEAD = """\
# Public functions

What other programs may build on. `dialogue` is pure: no input or output, no clock, no chance. `speech` knows nothing of
equations. Everything else may change. Written by `python tests/public_page.py`; a test compares.

"""


def page() -> str:
    """The page, as the code is now."""
    parts = []
    for name, functions in PUBLIC.items():
        module = import_module(name)
        parts.append(f"## {name}\n")
        for each in functions:
            function = getattr(module, each)
            signature = QUALIFIED.sub("", str(inspect.signature(function)))
            told = " ".join((inspect.getdoc(function) or "").split("\n\n")[0].split())
            parts.append(f"`{each}{signature}`\n\n{told}\n")
    return HEAD + "\n".join(parts)


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
