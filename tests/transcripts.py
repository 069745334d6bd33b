"""Write the invented sessions of transcripts_demo again from their scripts, and the README's picture of a lesson:
``python tests/transcripts.py``.

The logs are those a lesson would write, but for fixed ids and times, so that only what the tutor says can differ.
"""

import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path

from logs import in_bytes, turn_line
from picture import PICTURE, picture

from chattutor.session_logs.reader import read_session
from chattutor.session_logs.saved import plan_record
from chattutor.session_logs.schema import SCHEMA, EndLine, Header, Settings
from chattutor.session_logs.transcript import transcript
from dialogue.algebra.equation import read_equation
from dialogue.tutor import Plan, Task, Utterance, begin, is_over, step

FOLDER = Path(__file__).parent.parent / "transcripts_demo"
START = datetime(2026, 1, 12, 9, 0, tzinfo=UTC)
BETWEEN_TURNS = timedelta(seconds=15)
SPOKEN, UNSURE = "(spoken)", "(unsure)"


def read_script(path: Path) -> tuple[Plan, list[Utterance]]:
    """The plan and the sayings of a script."""
    tasks: list[Task] = []
    sayings: list[Utterance] = []
    seed = 0
    for line in path.read_text(encoding="utf-8").splitlines():
        if line.startswith("#"):
            continue
        key, _, value = line.partition(": ")
        if key == "equation":
            equation, *more = value.split(", ")
            stage = next((int(each.removeprefix("stage ")) for each in more if each.startswith("stage ")), 0)
            tasks.append(Task(read_equation(equation), stage, scene="scene" in more))
        elif key == "seed":
            seed = int(value)
        elif line.startswith(SPOKEN):
            sayings.append(Utterance(line.removeprefix(SPOKEN).strip(), "spoken"))
        elif line.startswith(UNSURE):
            sayings.append(Utterance(line.removeprefix(UNSURE).strip(), "spoken", "read back"))
        else:
            sayings.append(Utterance(line))
    return Plan(tuple(tasks), seed), sayings


def log_of(path: Path) -> bytes:
    """The session log that a script gives."""
    plan, sayings = read_script(path)
    header = Header(
        SCHEMA, f"invented-{path.stem}", "invented", _at(0), "demo", plan_record(plan), Settings(invented=True)
    )  # fmt: skip
    turn = begin(plan)
    lines = [turn_line(0, _at(0), turn)]
    for number, said in enumerate(sayings, 1):
        turn = step(turn.state, said)
        lines.append(turn_line(number, _at(number), turn, said))
    why = "input ended" if not is_over(turn.state) else "finished"
    if is_over(turn.state) and turn.state.place < len(plan.tasks):
        why = "stopped"
    return in_bytes(header, lines, EndLine(why, _at(len(lines)), len(lines)))


def text_of(path: Path) -> str:
    """A log as readable text; times are left out, because they are shown on the clock of the place."""
    first, *rest = transcript(read_session(path))
    return "\n".join([f"An invented session: {path.stem}", *rest]) + "\n" if first else ""


def _at(turns: int) -> str:
    return (START + turns * BETWEEN_TURNS).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def main() -> None:
    """Write every session, or those named."""
    for path in sorted(FOLDER.glob("*.script")):
        if sys.argv[1:] and path.stem not in sys.argv[1:]:
            continue
        log = path.with_suffix(".jsonl")
        log.write_bytes(log_of(path))
        path.with_suffix(".txt").write_text(text_of(log), encoding="utf-8")
        print(path.stem, text_of(log).splitlines()[-1])
    PICTURE.write_text(picture(), encoding="utf-8")


if __name__ == "__main__":
    main()
