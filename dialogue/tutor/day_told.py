"""The end of a lesson, told: what was done today, each thing counted, and what comes next."""

from collections.abc import Sequence
from itertools import chain

from dialogue.algebra.operations import operations_on
from dialogue.algebra.writing import BOARD, write
from dialogue.tutor.core.course import kind, often
from dialogue.tutor.core.state import State, Task
from dialogue.tutor.moves.feelings import own_work
from dialogue.verbalising.replies import phrases
from dialogue.verbalising.sayings import Saying

LAST = 15  # the last stage
MOVES_ON = 3  # equations of a set of one stage done alone, from which the next stage is named (a choice)
MOST_NAMED = 3  # of what was undone (a choice)
BY_THEMSELVES = ("answer fits", "answer fits, praised", "answer fits, checked")  # told whoever worked both sides out
MENDED = "you caught"  # how the keys begin of what tells that somebody put a slip right


def day_told(state: State, now: Sequence[str] = ()) -> Saying | None:
    """What the learner did today, ``now`` the keys of what is said in this turn; None where nothing was done."""
    if state.solved:
        day, did = _counted(state, (*state.told, *now)), _undone(state)
        return Saying("did today", {"day": day, "did": did}) if did else Saying("solved today", {"day": day})
    if state.alone:
        return Saying("one step alone" if state.alone == 1 else "steps alone", {"lines": state.alone})
    return next(iter(own_work(state)), None)


def ending(state: State, told: bool) -> Saying | None:
    """The last words of a lesson done to its end: what comes next; ``told`` whether its day was told."""
    ahead = next_stage(state)
    if ahead:
        furthest = max((task.stage for task in _by_steps(state)), default=0)
        return Saying("next kind" if told else "next time", {"kind": kind(ahead, furthest if told else 0)})
    return None if told else Saying("the end")


def next_stage(state: State) -> int:
    """The stage that comes next: as the last equation says, or on from a set of one stage; 0 where nobody knows."""
    last, solo = state.plan.tasks[-1], len(state.solo)
    if last.ahead:
        return last.ahead if len(state.plan.tasks) - 1 in state.solo else last.stage
    if len({task.stage for task in state.plan.tasks}) > 1 or not last.stage or state.plan.open:
        return 0
    return min(LAST, last.stage + 1) if solo >= MOVES_ON else last.stage


def _counted(state: State, told: Sequence[str]) -> str:
    """The equations solved, the checks that were the learner's own, the slips that they put right."""
    solved = len(state.solved)
    checked = min(sum(key in BY_THEMSELVES for key in told), solved)
    mended = sum(key.startswith(MENDED) for key in told)
    said = [_times("day solved", solved)]
    if checked:
        whole = "day checked it" if solved == 1 else "day checked all"
        said.append(phrases()[whole] if checked == solved else _times("day checked", checked))
    if mended:
        said.append(_times("day mended", mended))
    return _listed(said)


def _times(key: str, count: int) -> str:
    return phrases()[f"{key} one" if count == 1 else key].format(count=count)


def _undone(state: State) -> str:
    """What was undone by steps of the learner's own, of the furthest kind: by its operations where they can be named,
    else as that kind of step; empty where nothing was, for a number found by trying undoes nothing."""
    tasks = _by_steps(state)
    stage = max((task.stage for task in tasks), default=0)
    furthest = [task for task in tasks if task.stage == stage]
    done = [operations_on(task.equation) for task in furthest]
    if not furthest:
        return ""
    one_each = all(len(each) == 1 for each in done)
    named = list(dict.fromkeys(chain.from_iterable(done if one_each else done[-1:])))[-MOST_NAMED:]
    if named and all(f"undoing {one.action} by" in phrases() for one in named):
        said = [phrases()[f"undoing {one.action} by"].format(operand=write(one.operand, BOARD)) for one in named]
        return phrases()["day undid"].format(done=_listed(said))
    return "{did}, {times}".format(**often(f"did {stage}", len(furthest))) if stage else ""


def _by_steps(state: State) -> list[Task]:
    return [state.plan.tasks[place] for place in state.undone]


def _listed(said: Sequence[str]) -> str:
    *others, last = said
    if not others:
        return last
    return phrases()["day and"].format(first=phrases()["day, then"].join(others), last=last)
