"""Lessons whose equations are chosen one by one: the pre-check, practice, the model, the end, and the next lesson.

The learners are invented; the tutor, the chooser and the logs are the real ones, and only the clock is set by hand.
"""

import json
from dataclasses import dataclass, field, replace
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import pytest
from processes import chattutor

from chattutor.lesson.session_loop import hold
from chattutor.lesson.task_selection import CANDIDATES, Chooser
from chattutor.session_logs.learner_history import Past, past_of
from chattutor.session_logs.reader import Session, read_session
from chattutor.session_logs.replay import replay
from chattutor.session_logs.saved import plan_record
from chattutor.session_logs.schema import Settings
from chattutor.session_logs.writer import SessionLog, new_header
from dialogue.algebra.equation import read_equation
from dialogue.algebra.writing import write
from dialogue.learner.choice import TaskChoice
from dialogue.learner.families import draw
from dialogue.turn_record import Answered, BoardRecord, Given
from dialogue.tutor import begin
from dialogue.tutor.core.questions import due_value
from dialogue.tutor.core.state import Plan, State, Task, Turn, Utterance


@dataclass
class Invented:
    """A learner who knows some stages, and learns another by the second failure on it, as source and face of a lesson;
    each answer takes half a minute."""

    knows: set[int]
    learns: bool = False
    turn: Turn | None = None
    minutes: float = 0.0
    scenes: int = 0
    failed: list[int] = field(default_factory=list)
    stages: list[int] = field(default_factory=list)

    def notice(self, text: str) -> None:
        pass

    def show(self, turn: Turn) -> None:
        self.turn = turn

    def seconds(self) -> float:
        return self.minutes * 60

    def listen(self) -> Utterance | None:
        assert self.turn is not None
        self.minutes += 0.5
        return Utterance(self.says(self.turn.state))

    def says(self, state: State) -> str:
        if state.phase in {"scene tips", "scene level"}:
            self.scenes += state.phase == "scene tips"
            return "it tips" if state.phase == "scene tips" else "take three off the right side"
        if state.phase == "count":
            return {"none": "no number", "every": "every number"}.get(state.task.equation.solution().kind, "no")
        if state.phase in {"check left", "check right"}:
            due = due_value(state)
            assert due is not None
            return write(due)
        if state.task.stage not in self.knows and state.place not in self.failed:
            if self.learns and state.task.stage in self.stages:
                self.knows.add(state.task.stage)
            self.failed.append(state.place)  # once a wrong line, then the right answer
            self.stages.append(state.task.stage)
            return f"{state.letter} = 997"
        value = state.task.equation.solution().value
        if value is None:
            return {"none": "no number", "every": "every number"}[state.task.equation.solution().kind]
        return f"{state.letter} = {value}"


def lesson(
    folder: Path, knows: set[int], day: int = 0, seed: int = 5, learns: bool = False
) -> tuple[Session, Invented]:
    """One lesson to its end."""
    learner = Invented(set(knows), learns)
    chooser = Chooser(past_of(folder, "a"), seed, day=day, seconds=learner.seconds)
    plan = chooser.plan()
    log = SessionLog(folder, new_header("a", plan_record(plan), Settings(), "0"))
    ended = hold(begin(plan), learner, learner, log, chooser)
    assert ended.why == "finished"
    session = read_session(log.path)
    assert session.sound
    return session, learner


def chosen(session: Session) -> list[tuple[str, int]]:
    """(purpose, stage) of every equation of a lesson."""
    assert session.header is not None
    given = [turn.record.given for turn in session.turns if isinstance(turn.record, Given)]
    tasks = [*session.header.plan.tasks, *(task for task in given if task is not None)]
    return [(task.purpose, task.stage) for task in tasks]


def test_a_newcomer_is_placed_sees_the_balance_practises_and_ends_with_the_exit_equation(tmp_path: Path) -> None:
    session, learner = lesson(tmp_path, {1, 2})
    given = chosen(session)
    assert given[:4] == [("place", 3), ("place", 1), ("place", 2), ("practice", 3)]
    assert given[-1][0] == "exit" and [purpose for purpose, _ in given].count("exit") == 1
    assert learner.scenes == 0  # placed above the first stage
    assert 15 <= learner.minutes <= 24
    assert session.turns[-1].record.task == len(given) - 1
    texts = [task.equation.text() for task in replayed(session, tmp_path).plan.tasks]
    assert len(texts) == len(set(texts)) == len(given)


def replayed(session: Session, folder: Path) -> State:
    """The state at the end of a replay, which gives the same equations and replies turn by turn."""
    turns = list(replay(session, folder))
    assert all(turn.same and turn.line.record == turn.turn.record for turn in turns)
    return turns[-1].turn.state


def test_who_knows_nothing_begins_with_the_balance_once(tmp_path: Path) -> None:
    first, learner = lesson(tmp_path, set())
    assert chosen(first)[:3] == [("place", 3), ("place", 1), ("practice", 1)]
    assert learner.scenes == 1
    _, again = lesson(tmp_path, set(), day=2)
    assert again.scenes == 0


def test_practice_is_the_set_of_five_in_order(tmp_path: Path) -> None:
    session, _ = lesson(tmp_path, {1, 2, 3}, seed=8)
    tasks = replayed(session, tmp_path).plan.tasks
    practised = [task.equation for task in tasks if task.purpose == "practice"]
    stage = next(task.stage for task in tasks if task.purpose == "practice")
    assert practised[:4] == [task.equation for task in draw(stage, 8, 4)]


def test_two_failures_bring_the_model_and_a_step_back(tmp_path: Path) -> None:
    session, _ = lesson(tmp_path, {1, 2})
    given = chosen(session)
    place = given.index(("model", 2))
    assert given[place - 2 : place] == [("practice", 3), ("practice", 3)]
    turn = next(turn for turn in session.turns if isinstance(turn.record, Given) and turn.record.purpose == "model")
    keys = [reply.key for reply in turn.replies]
    assert keys[:3] == ["model after failures", "model worked", "worked first"]
    assert turn.record.reason == "two failures"


def test_three_unaided_successes_move_on_mixed_with_earlier_ones_and_a_success_ends_it(tmp_path: Path) -> None:
    session, learner = lesson(tmp_path, {1, 2, 4}, seed=2, learns=True)
    given = chosen(session)
    practised = [stage for purpose, stage in given if purpose == "practice"]
    assert practised[0] == 3 and practised[-1] > 4
    assert all(abs(one - other) <= 1 for one, other in pairwise(practised)), practised  # a stage on, or one back
    assert "earlier" in {purpose for purpose, _ in given}
    assert given[-1][0] == "exit"
    assert learner.minutes >= 12


def test_what_was_passed_comes_back_in_the_next_lesson(tmp_path: Path) -> None:
    lesson(tmp_path, set(range(1, 16)), day=0, seed=4)
    session, _ = lesson(tmp_path, set(range(1, 16)), day=1, seed=6)
    assert "place" not in {purpose for purpose, _ in chosen(session)}
    assert chosen(session)[0][0] in {"return", "earlier"}


def test_a_lesson_of_skipping_ends(tmp_path: Path) -> None:
    done = chattutor("lesson", "--learner", "a", "--logs", tmp_path, "--seed", "3", given="skip\n" * 100)
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.endswith("That was the last one for today. Your work is kept on this computer.\nBye for now.\n")


def test_broken_off_and_resumed_it_is_one_lesson(tmp_path: Path) -> None:
    """The input ends between; going on is by replay, equations given in both sittings."""
    words = ("lesson", "--learner", "a", "--logs", tmp_path, "--seed", "3")
    first = chattutor(*words, given="skip\nskip\n")
    assert first.stdout.endswith("That is all for now. Your work is saved.\n")
    (path,) = tmp_path.rglob("*.jsonl")
    content = path.read_bytes().splitlines(keepends=True)
    path.write_bytes(b"".join(content[:-1]))  # as a power cut would leave it
    second = chattutor(*words, "--go-on", given="skip\nskip\nstop\n")
    assert second.returncode == 0, second.stderr
    last = max(tmp_path.rglob("*.jsonl"), key=lambda each: each.stat().st_mtime_ns)
    end = replayed(read_session(last), tmp_path)
    assert [(task.purpose, task.stage) for task in end.plan.tasks[:2]] == [("place", 3), ("place", 1)]
    assert end.plan.tasks[2].scene
    found = past_of(tmp_path, "a")
    assert (found.lessons, found.scene) == (1, True)
    assert [(each.stage, each.right) for each in found.history] == [(3, False), (1, False)]


def test_broken_off_in_the_scene_the_balance_is_shown_again(tmp_path: Path) -> None:
    words = ("lesson", "--learner", "a", "--logs", tmp_path, "--seed", "3")
    chattutor(*words, given="skip\nskip\nit tips\n")
    (path,) = tmp_path.rglob("*.jsonl")
    path.write_bytes(b"".join(path.read_bytes().splitlines(keepends=True)[:-1]))
    again = chattutor(*words, "--go-on", given="take the same off the other side\n")
    assert again.returncode == 0, again.stderr
    tipped, _, level = again.stdout.partition("Yes, level again.")
    assert "┐" in tipped and "level again?" in tipped and "line" not in tipped
    assert "An equation is a balance like that." in level
    last = max(tmp_path.rglob("*.jsonl"), key=lambda each: each.stat().st_mtime_ns)
    replayed(read_session(last), tmp_path)


def test_the_first_stage_asked_for_begins_with_the_balance_once(tmp_path: Path) -> None:
    words = ("lesson", "--learner", "a", "--logs", tmp_path, "--stage", "1", "--seed", "2")
    first, again = chattutor(*words, given="stop\n").stdout, chattutor(*words, given="stop\n").stdout
    assert "Here is a balance" in first and "●" in first
    assert "Here is a balance" not in again
    plain = chattutor("lesson", "--learner", "b", "--logs", tmp_path, "--stage", "1", "--plain", given="stop\n").stdout
    assert "Here is a balance" in plain and "●" not in plain


def test_the_minutes_asked_for(tmp_path: Path) -> None:
    learner = Invented(set(range(1, 16)))
    chooser = Chooser(past_of(tmp_path, "a"), 1, length=6.0, day=0, seconds=learner.seconds)
    plan = chooser.plan()
    hold(
        begin(plan),
        learner,
        learner,
        SessionLog(tmp_path, new_header("a", plan_record(plan), Settings(), "0")),
        chooser,
    )
    assert 6 <= learner.minutes <= 12
    for bad in ("0", "121", "ten"):
        done = chattutor("lesson", "--minutes", bad, "--logs", tmp_path)
        assert done.returncode == 2 and "a whole number from 1 to 120" in done.stderr


@pytest.mark.parametrize("seed", range(3))
def test_the_pre_check_says_right_or_what_it_comes_to_and_teaches_nothing(tmp_path: Path, seed: int) -> None:
    """Of an answer it is said whether it is right, or what it comes to, and one more try is given."""
    said = {}
    for name, knows in (("right", {3}), ("wrong", set[int]())):
        session, _ = lesson(tmp_path / name, knows, seed=seed)
        first = session.turns[1]
        said[name] = (first.record.phase, [reply.key for reply in first.replies])
    assert said["right"] == ("move", ["noted right"])
    assert said["wrong"][1][0] in {"answer too big", "answer too small"} and said["wrong"][1][1] == "once more"


def test_an_answer_right_in_the_pre_check_is_recorded_as_solved(tmp_path: Path) -> None:
    session, _ = lesson(tmp_path, {3})
    record = session.turns[1].record
    assert isinstance(record, Answered) and record.solved and record.steps[0].balanced is True


def test_what_the_pre_check_found_to_be_for_later_is_no_failure_for_the_teacher(tmp_path: Path) -> None:
    """Stages 3 and 1 of the pre-check were not known; the class page speaks of what was practised."""
    lesson(tmp_path, {1, 2, 4}, seed=7, learns=True)
    page = json.loads(chattutor("review", tmp_path, "--json").stdout)
    assert page["see_first"] == [] and page["not_attempted"] == []
    done = {"independent", "right after wrong steps"}  # one was learned by the second failure on it
    assert all(row["now"] in done for row in page["learners"][0]["stages"].values())


def test_no_two_equations_that_follow_each_other_have_one_answer(tmp_path: Path) -> None:
    for number, knows in enumerate(({1, 2}, set(range(1, 9)), {1, 2, 4, 6})):
        session, _ = lesson(tmp_path / str(number), knows, seed=number)
        assert session.header is not None
        given = [turn.record.given for turn in session.turns if isinstance(turn.record, Given)]
        tasks = [*session.header.plan.tasks, *(task for task in given if task is not None)]
        answers = [read_equation(task.equation).solution() for task in tasks]
        assert len(answers) > 8 and all(one != other for one, other in pairwise(answers))


def test_a_wish_for_a_harder_one_is_followed(tmp_path: Path) -> None:
    chooser = Chooser(Past(), 5)
    state = replace(
        begin(Plan((Task(read_equation("4n = 52"), 3, purpose="practice"),), open=True)).state, wish="harder"
    )
    task, why = chooser.next(state.plan.tasks, state)
    assert task is not None and (task.stage, why.reason) == (9, "placing")  # nothing is known of them yet


def test_after_a_guess_the_next_answer_is_one_that_nobody_can_spot() -> None:
    """Rule 19 of the trade (common practice): a right guess is credited, then comes a number nobody can spot."""
    choice = TaskChoice(6, "practice", "practice")
    state = begin(Plan((Task(read_equation("3x + 2 = 14")),))).state
    chooser = Chooser(Past(), 5)
    drawn = draw(6, 5, 5 + 2 * CANDIDATES)
    done = [Task(each.equation, 6) for each in drawn[:5]]  # the set of five stays as it is
    chooser.heard(Answered(solved="3*x + 2 = 14", board=(BoardRecord("3*x + 2 = 14"),)))
    assert chooser._task(choice, done[:4], state).equation == drawn[4].equation
    others = [each for each in drawn[5:] if each.solution != drawn[4].solution][:CANDIDATES]
    values = [each.solution.value or Fraction(0) for each in others]
    assert chooser._task(choice, done, state).equation.solution().value == max(
        values, key=lambda value: (value.denominator, abs(value))
    )


def test_now_and_then_an_equation_is_told_in_words_and_a_replay_tells_it_again(tmp_path: Path) -> None:
    session, _ = lesson(tmp_path, {1, 2, 3, 4}, seed=3)
    tasks = [turn.record.given for turn in session.turns if isinstance(turn.record, Given)]
    told = [place for place, task in enumerate(tasks) if task is not None and task.story]
    assert 1 <= len(told) <= len(tasks) / 3
    assert not any(task.story for task in tasks if task is not None and task.purpose in {"place", "exit"})
    assert [task.story for task in replayed(session, tmp_path).plan.tasks].count("") == len(tasks) + 1 - len(told)
    said = [reply.text for turn in session.turns for reply in turn.replies if reply.key == "story"]
    assert len(said) == len(told) and all(text.endswith("? Here is its equation.") for text in said)
