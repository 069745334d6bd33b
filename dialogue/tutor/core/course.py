"""The course of lessons, told: where a day begins, and what is wished for next."""

from dialogue.acts import Act, Control
from dialogue.learner.history import Wish
from dialogue.learner.kinds import named_kinds
from dialogue.tutor.core.state import Plan, State, Task
from dialogue.verbalising.replies import phrases
from dialogue.verbalising.sayings import Filling, Saying


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


def kind(stage: int, after: int = 0) -> str:
    """What a stage is about; "more like these" where it is the one just named."""
    return phrases()["stage again" if stage == after else f"stage {stage}"]


def _did(stage: int, times: int) -> dict[str, Filling]:
    return often(f"did {stage}", times)


def often(did: str, times: int) -> dict[str, Filling]:
    """What was done, and how many times."""
    said = phrases()[f"times {times}" if times <= 2 else "times more"]
    return {"did": phrases()[did], "times": said.format(count=times)}
