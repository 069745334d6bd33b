"""The tutor's plan, what was said, and its replies, as the JSON of a session log and back."""

from dataclasses import asdict
from typing import Any, cast, get_args

from dialogue.algebra.equation import read_equation
from dialogue.algebra.reading import OWN
from dialogue.algebra.refusals import Refusal
from dialogue.algebra.writing import TYPED
from dialogue.tutor.core.state import Doubt, Plan, Purpose, Task, Utterance
from dialogue.verbalising.sayings import Classroom, Reply

DISTRESS = "distress"  # the event of the tutor's record
STAND_IN = "someone is hurting me"  # our words in place of those not kept: the tutor answers them the same way


class NotSaved(ValueError):
    """JSON that is not a plan or a saying of ours; the message says why."""


def plan_to_json(plan: Plan) -> dict[str, Any]:
    """The plan; what is as usual (a plan that does not grow) is left out."""
    return (
        {
            "tasks": [task_to_json(task) for task in plan.tasks],
            "seed": plan.seed,
            "faded": [list(pair) for pair in plan.faded],
            "spoken": plan.spoken,
        }
        | ({"open": True} if plan.open else {})
        | ({"classroom": plan.classroom} if plan.classroom != "british" else {})
    )


def task_to_json(task: Task) -> dict[str, Any]:
    """One equation of a plan, as typed, so that decimals stay decimals; what is as usual is left out."""
    saved: dict[str, Any] = {"equation": task.equation.text(TYPED), "stage": task.stage, "exit": task.exit}
    if task.purpose:
        saved["purpose"] = task.purpose
    if task.model is not None:
        saved["model"] = task.model.text(TYPED)
    if task.scene:
        saved["scene"] = True
    return saved


def plan_from_json(given: dict[str, Any]) -> Plan:
    """The plan of a header. Raises NotSaved."""
    match given:
        case {"tasks": [*tasks], "seed": int(seed), "faded": [*faded], "spoken": bool(spoken)} if tasks:
            opened = given.get("open") is True
            classroom = cast(Classroom, given.get("classroom", "british"))
            if classroom not in get_args(Classroom):
                raise NotSaved("it is for a classroom that this version does not know")
            return Plan(tuple(map(task_from_json, tasks)), seed, tuple(map(_faded, faded)), spoken, opened, classroom)
    raise NotSaved("its plan cannot be read")


def task_from_json(given: object) -> Task:
    """One equation of a plan. Raises NotSaved."""
    match given:
        case {"equation": str(text), "stage": int(stage), "exit": bool(hint_free), **more}:
            model = more.get("model")
            purpose = cast(Purpose, more.get("purpose", ""))
            if purpose not in get_args(Purpose):
                raise NotSaved("one of its equations has a purpose that this version does not know")
            try:
                worked = None if model is None else read_equation(str(model), room=OWN)
                return Task(read_equation(text, room=OWN), stage, hint_free, purpose, worked, more.get("scene") is True)
            except Refusal as refusal:
                raise NotSaved(f"its equation cannot be read: {refusal.sentence}") from refusal
    raise NotSaved("one of its equations cannot be read")


def _faded(given: object) -> tuple[str, int]:
    match given:
        case [str(question), int(count)]:
            return question, count
    raise NotSaved("what was done unaided before cannot be read")


def said_to_json(said: Utterance, event: str = "") -> dict[str, Any]:
    """What reached the tutor; of a message of distress only that there was one, never its words."""
    saved = asdict(said)
    return saved | {"text": "", "withheld": True} if event == DISTRESS else saved


def said_from_json(given: dict[str, Any]) -> Utterance:
    """What reached the tutor. Raises NotSaved."""
    if given.get("withheld"):
        given = given | {"text": STAND_IN}
    match given:
        case {"text": str(text), "channel": ("typed" | "spoken") as channel, "doubt": str(doubt)}:
            if doubt in get_args(Doubt):
                return Utterance(text, channel, doubt)  # type: ignore[arg-type]  # one of them
    raise NotSaved("what was said cannot be read")


def replies_to_json(replies: tuple[Reply, ...]) -> list[dict[str, Any]]:
    """The replies, in order."""
    return [asdict(reply) for reply in replies]
