"""The course of lessons, told: what a learner did alone today and what comes next, and where the next day begins."""

from dialogue.acts import Act, Control
from dialogue.learner.history import Wish
from dialogue.learner.kinds import named_kinds
from dialogue.tutor.core.state import Plan, State, Task
from dialogue.verbalising.replies import phrases
from dialogue.verbalising.sayings import Filling, Saying

LAST = 15  # the last stage
MOVES_ON = 3  # equations of a set of one stage done alone, from which the next stage is named (a choice)


def greeting(plan: Plan) -> Saying:
    """The first words: where the last lesson ended, for whoever had one."""
    stage, times = plan.before
    if not plan.now:
        return Saying("welcome")
    if not stage:
        return Saying("met before", {"kind": kind(plan.now)})
    return Saying("did before", {**_did(stage, times), "kind": kind(plan.now, stage)})


def wish_of(act: Act | None) -> Wish:
    """What another kind is wished for in an act: one by its name, an easier or a harder one."""
    if not isinstance(act, Control):
        return "harder"
    return act.about or ("easier" if act.what == "easier" else "harder")


def promise(state: State, wish: Wish) -> Saying:
    """That the kind wished for comes after the equation in hand."""
    return Saying("wish promised", {"kind": phrases()[f"wish {wish}"].format(unknown=state.letter)})


def wish_given(state: State, task: Task) -> tuple[Saying, ...]:
    """The equation that was wished for, named; of an extra one also that the set goes on."""
    if state.wish is None:
        return ()
    by_name = state.wish in named_kinds()
    name = phrases()[f"wish {state.wish}"].format(unknown=task.equation.letter) if by_name else kind(task.stage)
    values: dict[str, Filling] = {"kind": name}
    key = "wish named" if by_name else f"wish {state.wish}"
    extra = (Saying("an extra"),) if state.plan.beyond == "extra" and state.back_to is not None else ()
    return (*extra, Saying(key, values))


def wish_missed(state: State) -> tuple[Saying, ...]:
    """That the lesson is over, and the kind wished for comes next time."""
    if state.wish is None or state.wish == "next":
        return ()
    return (Saying("wish next time", {"kind": phrases()[f"wish {state.wish}"].format(unknown=state.letter)}),)


def ending(state: State) -> Saying:
    """The last words of a lesson done to its end: what was done, and what comes next."""
    did, ahead = done_alone(state), next_stage(state)
    if did is None:
        return Saying("next time", {"kind": kind(ahead)}) if ahead else Saying("the end")
    if not ahead:
        return did
    return Saying("did today, next", {**did.values, "kind": kind(ahead, _furthest(state)[0])})


def done_alone(state: State) -> Saying | None:
    """The furthest of what was done without help, and how often; else that numbers were found, for where no step was
    said none is credited; None where nothing was."""
    stage, times = _furthest(state)
    if stage:
        return Saying("did today", _did(stage, times))
    found = len(state.solo) > state.alone and not state.undone
    return Saying("did today", _often("did by number", len(state.solo))) if found else None


def next_stage(state: State) -> int:
    """The stage that comes next: as the last equation says, or on from a set of one stage; 0 where nobody knows."""
    last, solo = state.plan.tasks[-1], len(state.solo)
    if last.ahead:
        return last.ahead if len(state.plan.tasks) - 1 in state.solo else last.stage
    if len({task.stage for task in state.plan.tasks}) > 1 or not last.stage or state.plan.open:
        return 0
    return min(LAST, last.stage + 1) if solo >= MOVES_ON else last.stage


def kind(stage: int, after: int = 0) -> str:
    """What a stage is about; "more like these" where it is the one just named."""
    return phrases()["stage again" if stage == after else f"stage {stage}"]


def _furthest(state: State) -> tuple[int, int]:
    stages = [state.plan.tasks[place].stage for place in state.undone]
    return (max(stages), stages.count(max(stages))) if stages else (0, 0)


def _did(stage: int, times: int) -> dict[str, Filling]:
    return _often(f"did {stage}", times)


def _often(did: str, times: int) -> dict[str, Filling]:
    often = phrases()[f"times {times}" if times <= 2 else "times more"]
    return {"did": phrases()[did], "times": often.format(count=times)}
