"""The class page against learners of known truth: lessons and review by the public commands alone.

    python tests/bench/bench_truth.py [lessons] [seed] [folder to keep]

Each learner of ``learner_cards.toml`` has lessons by ``chattutor lesson`` through a pipe, reads where it stands from
the session log as it is written, and answers as their card says. Then ``chattutor review --json`` is asked. Counted:
ideas shown on two equations or more that are named, ideas named that nobody planted, and the kinds of whom to see
first. Exits with 1 where an idea is missed or invented.
"""

import json
import subprocess
import sys
import tempfile
import time
import tomllib
from concurrent.futures import ThreadPoolExecutor
from fractions import Fraction
from pathlib import Path
from random import Random
from typing import Any, Protocol

from known_learners import Known
from rows import row

from dialogue.algebra.equation import Equation, read_equation
from dialogue.algebra.moves import Move, carry_out, carry_out_rewrite
from dialogue.algebra.reading import OWN
from dialogue.algebra.solver import is_solved, value_at
from dialogue.algebra.writing import TYPED, write

HERE = Path(__file__).parent
PROGRAM = [sys.executable, "-m", "chattutor"]
EQUATIONS = (
    ("4n + 9 = 37", "6n = 84", "3(n + 5) = 36", "5n + 12 = 47", "8n = 104", "2(n + 9) = 46", "7n + 5 = 61", "4n = 68"),
    ("3n + 11 = 44", "9n = 117", "5(n + 4) = 65", "6n + 7 = 55", "7n = 105", "4(n + 3) = 48", "8n + 3 = 75", "5n = 85"),
)
MOST_TURNS, WAIT = 70, 120.0  # turns of a lesson; seconds for the tutor's answer


def learners(seed: int) -> list[Known]:
    """Everybody on the cards."""
    cards: dict[str, dict[str, Any]] = tomllib.loads((HERE / "learner_cards.toml").read_text("utf-8"))
    found: list[Known] = []
    for name, card in cards.items():
        for number in range(card["many"]):
            ideas = card.get("ideas", [""])
            code = f"L{len(found) + 1:02}"
            found.append(
                Known(
                    code, ideas[number % len(ideas)], card["holds"], card["slips"],
                    card["styles"][(number // len(ideas)) % len(card["styles"])], card["expects"],
                    Random(f"{seed} {name} {number}"),
                )
            )  # fmt: skip
    return found


class Learner(Protocol):
    """Whoever can have a lesson."""

    @property
    def code(self) -> str:
        """Their code."""

    def hears(self, record: dict[str, Any], task: str) -> None:
        """What came of the last turn, and the equation it was of."""

    def says(self, phase: str, task: Equation, line: Equation, due: str) -> str:
        """What they type."""


def lesson(learner: Learner, equations: Path, logs: Path, seed: int) -> int:
    """One lesson to its end; how many turns it had."""
    words = ["lesson", "--learner", learner.code, "--equations", str(equations), "--logs", str(logs), "--new"]
    before = set((logs / learner.code).glob("*.jsonl"))
    told = subprocess.Popen([*PROGRAM, *words, "--seed", str(seed)], stdin=subprocess.PIPE, stdout=subprocess.DEVNULL,
                            stderr=subprocess.DEVNULL)  # fmt: skip
    assert told.stdin is not None
    board, task, pending, guess = "", "", None, Fraction(0)
    turns = 0
    try:
        while turns < MOST_TURNS:
            record = _record(logs / learner.code, before, turns)
            if record is None:
                break
            learner.hears(record, task)
            if record.get("board"):
                board = record["board"][-1]["line"]
                task = record["board"][0]["line"]
            pending, guess = _pending(record, pending), _guess(record, guess)
            phase = record.get("next", "")
            if phase == "done":
                break
            line, equation = read_equation(board, room=OWN), read_equation(task, room=OWN)
            said = learner.says(phase, equation, line, _due(phase, line, equation, pending, guess))
            told.stdin.write(f"{said}\n".encode())
            told.stdin.flush()
            turns += 1
    except BrokenPipeError:
        pass
    finally:
        told.stdin.close()
        told.wait(timeout=5 * WAIT)
    return turns


def _record(home: Path, before: set[Path], turn: int) -> dict[str, Any] | None:
    """The record of a turn, once it is written; None where none comes."""
    until = time.monotonic() + WAIT
    while time.monotonic() < until:
        for path in set(home.glob("*.jsonl")) - before:
            lines = path.read_bytes().split(b"\n")[1:-1]
            if len(lines) > turn:
                found: dict[str, Any] = json.loads(lines[turn]).get("record")
                return found
        time.sleep(0.01)
    return None


def _pending(record: dict[str, Any], before: Any) -> Any:
    """The move or rewrite whose result is asked for."""
    from dialogue.acts import from_json

    for step in record.get("steps", ()):
        if step["act"].get("act") in {"move", "rewrite"} and step.get("balanced"):
            return from_json(step["act"])
    return before


def _due(phase: str, line: Equation, task: Equation, pending: Any, guess: Fraction) -> str:
    """What the question asks for, where it asks for one thing."""
    if phase in {"left", "right", "line"} and pending is not None:
        after = carry_out(pending, line) if isinstance(pending, Move) else carry_out_rewrite(pending, line)
        return {"left": write(after.left, TYPED), "right": write(after.right, TYPED)}.get(phase, after.text(TYPED))
    if phase in {"check left", "check right"}:
        return str(value_at(task.left if phase == "check left" else task.right, guess))
    return ""


def _guess(record: dict[str, Any], before: Fraction) -> Fraction:
    """The number being put in: the latest answer stated, else that of the line just reached."""
    stated = [step["act"].get("equation", "") for step in record.get("steps", ()) if step["act"].get("act") == "state"]
    texts = stated or [board["line"] for board in record.get("board", ())[-1:]]
    for text in texts:  # of "no solution" there is nothing to put in
        if "=" in text and is_solved(line := read_equation(text, room=OWN)):
            return line.solution().value or before
    return before


def main() -> int:
    """Hold the lessons, read the class, and say how it went."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 1
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    kept = Path(sys.argv[3]) if len(sys.argv) > 3 else Path(tempfile.mkdtemp(prefix="truth-"))
    everyone = learners(seed)
    files = []
    for number in range(count):
        files.append(kept / f"set-{number}.txt")
        files[-1].parent.mkdir(parents=True, exist_ok=True)
        files[-1].write_text("\n".join(EQUATIONS[number % len(EQUATIONS)]) + "\n", "utf-8")
    with ThreadPoolExecutor(2) as pool:
        done = [
            pool.submit(lambda each: [lesson(each, file, kept / "logs", seed) for file in files], each)
            for each in everyone
        ]
        turns = sum(sum(each.result()) for each in done)
    shown = subprocess.run([*PROGRAM, "review", str(kept / "logs"), "--json"], capture_output=True, check=True)
    return told(everyone, json.loads(shown.stdout), turns)


def told(everyone: list[Known], page: dict[str, Any], turns: int) -> int:
    """Count, print a line on each that went otherwise than its card says, and the rows of the table."""
    found = {each["code"]: each for each in page["learners"]}
    first = {each["code"]: each["kind"] for each in page["see_first"]}
    twice = named = invented = alone = kinds = 0
    for learner in everyone:
        ideas = [idea["errors"] for idea in found.get(learner.code, {"ideas": []})["ideas"]]
        is_shown = len(learner.shown) > 1
        is_named = any(learner.idea in errors for errors in ideas)
        twice += is_shown
        named += is_shown and is_named
        alone += is_shown and any(errors == [learner.idea] for errors in ideas)
        wrong = [errors for errors in ideas if learner.idea not in errors]
        invented += len(wrong)
        wanted = learner.expects if learner.expects != "idea" or is_shown else ""
        as_wanted = first.get(learner.code, "") == wanted or (not wanted and first.get(learner.code) == "stuck")
        kinds += as_wanted
        if wrong or (is_shown and not is_named) or not as_wanted:
            print(f"{learner.code} {learner.idea or '-'} ({learner.style}), shown on {len(learner.shown)}: {ideas}, "
                  f"see first: {first.get(learner.code, '-')}, wanted: {wanted or '-'}")  # fmt: skip
    print(f"{len(everyone)} learners, {turns} turns: {named} of {twice} ideas named ({alone} alone), {invented} "
          f"invented, {kinds} as their cards say")  # fmt: skip
    row(f"planted idea named (n = {twice}, shown on two equations)", [named / max(twice, 1)], "share")
    row("of these named alone, nothing else as likely", [alone / max(twice, 1)], "share")
    row(f"ideas named that nobody planted (of {len(everyone)} learners)", [float(invented)], "")
    row("whom to see first as the card says", [kinds / len(everyone)], "share")
    return int(named < twice or invented > 0)


if __name__ == "__main__":
    sys.exit(main())
