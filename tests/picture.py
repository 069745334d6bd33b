"""The picture of a lesson in the README: ``python tests/transcripts.py`` draws it anew, beside the invented sessions.

An invented lesson goes through the tutor and the terminal's own screen; rich makes the SVG, in whatever fixed-width
font the reader has, so that nothing is fetched.
"""

import io
from pathlib import Path

from rich.console import Console
from rich.terminal_theme import TerminalTheme

from chattutor.lesson.screen.face import Screen
from dialogue.algebra.equation import read_equation
from dialogue.tutor import Plan, Task, Utterance, begin, step

PICTURE = Path(__file__).parent.parent / "transcripts_demo" / "a-lesson.svg"
EQUATION, SEED, COLUMNS = "2n + 5 = 19", 8, 72
SAID = ("times 2 and then plus 5", "minus 5 on the left", "2n = 14", "divide by 2", "n = 7", "19")
PAPER = TerminalTheme((255, 255, 255), (32, 33, 36), [(32, 33, 36)] * 8, [(32, 33, 36)] * 8)
FRAME = """\
<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" role="img" aria-label="A lesson on a terminal">
<style>.{unique_id}-matrix {{ font-family: ui-monospace, Menlo, Consolas, "DejaVu Sans Mono", monospace;
font-size: {char_height}px; line-height: {line_height}px; }}
{styles}</style>
<defs>{lines}</defs>
<rect width="{width}" height="{height}" rx="8" fill="#fff" stroke="#bbb"/>
<g transform="translate(18, 12)">{backgrounds}<g class="{unique_id}-matrix">{matrix}</g></g>
</svg>
"""


def picture() -> str:
    """The lesson as an SVG."""
    console = Console(file=io.StringIO(), width=COLUMNS, record=True, force_terminal=True, highlight=False)
    screen = Screen(console=console)
    turn = begin(Plan((Task(read_equation(EQUATION)),), SEED))
    screen.show(turn)
    for words in SAID:
        console.print(f"> {words}", style="italic")
        turn = step(turn.state, Utterance(words))
        screen.show(turn)
    made = console.export_svg(title="", theme=PAPER, code_format=FRAME, unique_id="lesson")
    return "\n".join(line.rstrip() for line in made.splitlines()) + "\n"
