"""The tutor's plan, what was said, and its turns, as what a session log keeps; and back."""

from collections.abc import Iterable
from typing import Literal, cast, get_args

from chattutor.session_logs.reader import Session
from chattutor.session_logs.schema import TurnLine
from dialogue.acts import Act, Interpretation, NotAnAct, from_json, to_json
from dialogue.algebra.equation import read_equation
from dialogue.algebra.reading import OWN
from dialogue.algebra.refusals import Refusal
from dialogue.algebra.writing import TYPED
from dialogue.learner.history import WishedFor
from dialogue.turn_record import Answered, Given, JsonAct, PlanRecord, ReplyRecord, Said, TaskRecord
from dialogue.tutor.core.state import Beyond, Doubt, Plan, Task, TaskPurpose, Turn, Utterance
from dialogue.verbalising.sayings import Dialect, Reply


class NotSaved(ValueError):
    """A plan or a saying that is none of ours; the message says why."""


def plan_record(plan: Plan) -> PlanRecord:
    """The plan, as kept."""
    tasks = tuple(map(task_record, plan.tasks))
    return PlanRecord(tasks, plan.seed, plan.faded, plan.open, plan.classroom, plan.before, plan.now, plan.beyond)


def task_record(task: Task) -> TaskRecord:
    """One equation of a plan, as typed, so that decimals stay decimals."""
    model = None if task.model is None else task.model.text(TYPED)
    equation = task.equation.text(TYPED)
    return TaskRecord(
        equation, task.stage, task.exit, task.purpose, model, task.scene, task.story, task.ahead, task.wished
    )


def plan_of(kept: PlanRecord) -> Plan:
    """The plan of a header. Raises NotSaved."""
    classroom = cast(Dialect, kept.classroom)
    if classroom not in get_args(Dialect):
        raise NotSaved("it asks for words (British or American) that this version does not know")
    beyond = cast(Beyond, kept.beyond)
    if beyond not in get_args(Beyond):
        raise NotSaved("its plan goes on in a way that this version does not know")
    if not kept.tasks:
        raise NotSaved("its plan has no equation")
    tasks = tuple(map(task_of, kept.tasks))
    return Plan(tasks, kept.seed, kept.faded, kept.open, classroom, kept.before, kept.now, beyond)


def task_of(kept: TaskRecord) -> Task:
    """One equation of a plan. Raises NotSaved."""
    purpose = cast(TaskPurpose, kept.purpose)
    if purpose not in get_args(TaskPurpose):
        raise NotSaved("one of its equations has a purpose that this version does not know")
    wished = cast("WishedFor | Literal['']", kept.wished)
    if wished and wished not in get_args(WishedFor):
        raise NotSaved("one of its equations was wished for in a way that this version does not know")
    try:
        model = None if kept.model is None else read_equation(kept.model, room=OWN)
        return Task(
            read_equation(kept.equation, room=OWN), kept.stage, kept.exit, purpose, model, kept.scene, kept.story,
            kept.ahead, wished,
        )  # fmt: skip
    except Refusal as refusal:
        raise NotSaved(f"its equation cannot be read: {refusal.sentence}") from refusal


def said_record(said: Utterance, turn: Turn) -> Said:
    """What reached the tutor and what it was taken for; of a disclosure only that there was one, never its words."""
    meant = turn.meant or Interpretation((), sure=True)
    acts = _kept(meant.acts)
    if isinstance(turn.record, Answered) and turn.record.event == "distress":
        return Said("", said.channel, said.doubt, True, acts, meant.sure)
    rivals = tuple(map(_kept, meant.rivals))
    return Said(said.text, said.channel, said.doubt, False, acts, meant.sure, rivals, meant.guessed, meant.marks)


def _kept(acts: Iterable[Act]) -> tuple[JsonAct, ...]:
    return tuple(to_json(act, exact=True) for act in acts)


def utterance_of(said: Said) -> Utterance:
    """What reached the tutor. Raises NotSaved."""
    if said.channel not in {"typed", "spoken"} or said.doubt not in get_args(Doubt):
        raise NotSaved("what was said cannot be read")
    return Utterance(said.text, said.channel, said.doubt)  # type: ignore[arg-type]  # each is one of its words


def meant_by(said: Said, letter: str) -> Interpretation | None:
    """What it was taken for; None for silence. Raises NotSaved."""
    try:
        acts = tuple(from_json(act, letter) for act in said.acts or ())
        rivals = tuple(tuple(from_json(act, letter) for act in each) for each in said.rivals)
    except NotAnAct as error:
        raise NotSaved(f"what was said cannot be read: {error}") from error
    read = Interpretation(acts, said.sure, rivals=rivals, guessed=said.guessed, marks=said.marks)
    return read if acts else None


def reply_records(replies: tuple[Reply, ...]) -> tuple[ReplyRecord, ...]:
    """The replies, in order."""
    return tuple(ReplyRecord(reply.key, reply.text, reply.spoken) for reply in replies)


def tasks_given(turns: Iterable[TurnLine]) -> Iterable[Task]:
    """The equations given in these turns, in order. Raises NotSaved."""
    for turn in turns:
        if isinstance(turn.record, Given) and turn.record.given is not None:
            yield task_of(turn.record.given)


def tasks_of(session: Session) -> tuple[Task, ...]:
    """Every equation of the session, by the place that its records call ``task``. Raises NotSaved."""
    if session.header is None:
        raise NotSaved("it has no header")
    return (*plan_of(session.header.plan).tasks, *tasks_given(session.turns))
