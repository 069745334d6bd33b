"""A whole lesson hands-free: real speech into a microphone, three equations solved, nothing typed and nothing replaced.

The learner is a recorded voice that answers the question in hand, says "yes, it is" or "no, it isn't" to what was read
back, says a thing again where it was asked to, and now and then does what learners do (SLIPS). What must come out is
in the log, which is read at the end; the order of turns is left open, for a mishearing is no fault of the learner's.
It takes some two minutes, nearly all of them waiting for somebody to finish speaking, so it is begun first (conftest).
"""

import time
from pathlib import Path
from typing import Any

import pytest
from spoken_lesson import SpokenLesson, spoken_lesson
from virtual_microphone import VirtualMicrophone

from chattutor.session_logs.reader import read_session
from chattutor.session_logs.replay import replay
from dialogue.acts import to_json
from dialogue.understanding.interpret import understand

EQUATIONS = "n + 19 = 43\n4n = 52\nn + 7 = 31\n"
ANSWERS = (
    {"operations": "add nineteen", "first": "the nineteen", "move": "subtract nineteen from both sides",
     "mend": "subtract nineteen from the right side", "left": "it is n", "right": "twenty four",
     "line": "n equals twenty four", "check left": "forty three"},
    {"operations": "multiply by four", "first": "the four", "move": "divide both sides by four", "left": "it is n",
     "right": "thirteen", "line": "n equals thirteen", "check left": "fifty two"},
    {"operations": "add seven", "first": "the seven", "move": "subtract seven from both sides", "left": "it is n",
     "right": "twenty four", "line": "n equals twenty four", "check left": "thirty one"},
)  # fmt: skip
SLIPS = {  # said first, once, at that question of that equation
    (2, "move"): "can you repeat that",
    (0, "move"): "take nineteen from the left side",  # one side alone
    (1, "left"): "give me a hint",
    (1, "move"): "multiply both sides by four",  # legal, and no help
    (1, "right"): "thirty",  # "thirteen" with its end swallowed, so that it is heard as another number
    (2, "right"): "twenty five",  # a wrong result
}
SWALLOWED = {"thirty": "thirteen"}
VOICES = ("rms", "slt")  # the second for what the first could not make understood
MOST_TURNS = 60


class Learner:
    """Somebody who answers what is asked, aloud."""

    def __init__(self, lesson: SpokenLesson) -> None:
        self.lesson = lesson
        self.slips = dict(SLIPS)
        self.meant = ""

    def next(self, turn: dict[str, Any]) -> str:
        """What to say after a turn of the tutor."""
        record = turn["record"]
        asked, place = record["next"], self.place(turn)
        if asked == "confirm":
            held = to_json(understand(self.meant, self.expecting, "n"))
            return "yes it is" if turn["said"].get("acts") == [held] else "no it isn't"
        if asked in {"reconsider", "offer stop"}:
            return "no it isn't"
        if asked == "part":  # "by which number?": the whole again
            return self.meant
        if asked == "reason":
            return "because it is times four"  # anything will do: a reason is not marked
        said = self.slips.pop((place, asked), None) or ANSWERS[place].get(asked, "skip this one")
        self.meant, self.expecting = SWALLOWED.get(said, said), EXPECTING.get(asked, "move")
        return said

    def place(self, turn: dict[str, Any]) -> int:
        """Which equation is in hand: how many have been solved."""
        return sum("solved" in one["record"] for one in self.lesson.turns)


EXPECTING: dict[str, Any] = {"operations": "operations", "first": "term", "left": "value", "right": "value",
                             "line": "equation", "check left": "value"}  # fmt: skip


@pytest.mark.flaky(reruns=1)  # in real time: a busy machine swallows sound
@pytest.mark.timeout(540)
def test_three_equations_are_solved_by_voice_alone(room: VirtualMicrophone, cache: Path, tmp_path: Path) -> None:
    (tmp_path / "set.txt").write_text(EQUATIONS, "utf-8")
    started = time.monotonic()
    words = ("--equations", str(tmp_path / "set.txt"), "--seed", "1", "--silence", "0.5", "--pace", "2.5", "--plain")
    with spoken_lesson(room, tmp_path, cache, *words) as lesson:
        lesson.begun(60)
        learner = Learner(lesson)
        turn, again, refused, said = lesson.turns[0], 0, 0, ""
        while turn["record"]["next"] != "done" and len(lesson.turns) < MOST_TURNS:
            said = said if again and turn["record"]["next"] != "confirm" else learner.next(turn)
            turn = lesson.say(said, VOICES[(again + refused) % 2])
            refused = refused + 1 if said == "no it isn't" else 0 if turn["record"]["next"] != "confirm" else refused
            again = again + 1 if turn["record"].get("event") in {"unheard", "unclear", "silence"} else 0
            print(f"{time.monotonic() - started:6.1f} {said!r:45} {turn['said']} {turn['record'].get('event')} -> "
                  f"{turn['record']['next']}: {' '.join(one['text'] for one in turn['replies'])}")  # fmt: skip
        assert lesson.process.wait(20) == 0, lesson.complaints
    records = [one["record"] for one in lesson.turns]
    events = [one.get("event") for one in records]
    assert [one["solved"] for one in records if "solved" in one] == ["n + 19 = 43", "4*n = 52", "n + 7 = 31"]
    assert {"repeat", "hint"} <= {*events, *(each for one in records for each in one.get("then", ()))}
    assert "move one side" in judged(records)
    assert "move level" in judged(records)
    assert {"value wrong", "right wrong", "line broken"} & judged(records)
    assert "no" in [one.get("event") for one in records if one.get("phase") == "confirm"]
    assert all(turn["said"].get("channel", "typed") == "spoken" for turn in lesson.turns if turn.get("said"))
    for one in records:  # what was in doubt was judged in no turn of its own: a reason only sets one off
        assert one.get("doubt") in {None, "none"} or one["phase"] == "reason" or "balanced" not in one
    (path,) = lesson.logs.rglob("*.jsonl")
    assert all(each.same for each in replay(read_session(path), lesson.logs))


def judged(records: list[dict[str, Any]]) -> set[str]:
    """The events that steps came to, at once or once they were confirmed."""
    return {each for one in records for each in (one.get("event"), *one.get("then", ())) if each}
