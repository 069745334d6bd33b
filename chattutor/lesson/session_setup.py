"""Before the first question: the plan, a lesson to resume, the notices, and the log."""

import argparse
import secrets
import sys
from dataclasses import replace
from pathlib import Path

import chattutor
from chattutor.common.exits import FINE, INTERRUPTED, LogTrouble
from chattutor.lesson.beside_the_set import beside_plan
from chattutor.lesson.plans import plan_of_file, plan_of_stage, plan_set
from chattutor.lesson.ports import Chooses, Face, UtteranceSource
from chattutor.lesson.session_loop import hold
from chattutor.lesson.task_selection import Chooser
from chattutor.session_logs import lock
from chattutor.session_logs.folder import default_folder, in_another_window, is_resumed, unfinished
from chattutor.session_logs.learner_code import learner_code
from chattutor.session_logs.learner_history import Past, past_of
from chattutor.session_logs.reader import Session
from chattutor.session_logs.replay import Replayed, replay, resumed, sittings
from chattutor.session_logs.saved import plan_record
from chattutor.session_logs.schema import Continues, Header, Settings
from chattutor.session_logs.transcript import local
from chattutor.session_logs.writer import SessionLog, new_header
from dialogue.acts import Control, Say
from dialogue.turn_record import Given, Resumed
from dialogue.tutor import begin
from dialogue.tutor.core.state import Plan, Turn
from dialogue.understanding.interpret import understand

FIRST_USE = """\
Every turn is written to {folder}, on this machine only. No sound is kept unless you ask for it.
Records of children: follow your school's policy and the data-protection law where you are.
Nobody is watching now; a teacher may read this later. If something is wrong, tell an adult you trust."""
FIRST_USE_ALOUD = "A teacher may read what we say. If something is wrong, tell an adult you trust."
OFFER = "Your lesson of {when} was not finished. Shall we carry on with it? Yes or no?"
CHANGED = "Your lesson of {when} was not finished, and the tutor has changed since. We start a new one."
TOO_LONG = "Your lesson of {when} was not finished, and is too long to carry on with. We start a new one."
MOST_RESUMED = 500  # turns replayed before the first question, in half a second; a lesson has some forty
WHO = "What is your learner code? (Press Enter for: me)"
NOBODY = "me"
NOTHING = "There is no unfinished lesson. We start a new one."
BESIDE = "You have a lesson open in another window. This is a new one; both are kept."
ELSEWHERE = "That lesson is already open in another window. Carry on there, or start again for a new one."
CHOSEN = "Your teacher chose these equations for you."
BROKEN_OFF = "Stopped. Start the lesson again to carry on from here."


def start(args: argparse.Namespace, source: UtteranceSource, face: Face, interactive: bool) -> int:
    """Hold a lesson as asked for on the command line; the exit code. A code is asked for only of a person."""
    folder: Path = args.logs or default_folder()
    learner = code_asked_for(args, source, face, interactive)
    plan = plan_asked_for(args, learner)
    if not (folder / learner).is_dir():
        face.notice(FIRST_USE.format(folder=folder), FIRST_USE_ALOUD)
    try:
        opening, header, chooser = opened_lesson(args, folder, learner, plan, source, face)
    except EOFError:
        return FINE
    log = log_for(folder, header)
    try:
        hold(opening, source, face, log, chooser)
    except KeyboardInterrupt:
        log.close()
        print(file=sys.stderr)
        face.notice(BROKEN_OFF)
        return INTERRUPTED
    finally:
        log.close()
    return FINE


def log_for(folder: Path, header: Header) -> SessionLog:
    """The sitting's log. Raises LogTrouble where another window has resumed the lesson."""
    if header.continues is None:
        return SessionLog(folder, header)
    with lock.alone(folder / header.learner):
        if is_resumed(folder / header.learner, header.continues.id):
            raise LogTrouble(ELSEWHERE)
        return SessionLog(folder, header)


def code_asked_for(args: argparse.Namespace, source: UtteranceSource, face: Face, interactive: bool) -> str:
    """The learner's code, from the command line or typed. Raises LogTrouble for a code that cannot be one."""
    return learner_code(args.learner or (_who(source, face) if interactive else NOBODY))


def plan_asked_for(args: argparse.Namespace, learner: str) -> Plan | None:
    """The equations asked for, if any were."""
    if args.equations is not None:
        return plan_of_file(args.equations, _seed(args), learner)
    return None if args.stage is None else plan_of_stage(args.stage, _seed(args))


def _seed(args: argparse.Namespace) -> int:
    return secrets.randbelow(1_000_000) if args.seed is None else int(args.seed)


def _who(source: UtteranceSource, face: Face) -> str:
    """The code a person types; asked again until it is one."""
    while True:
        face.notice(WHO)
        said = source.listen()
        if said is None or not said.text:
            return NOBODY
        try:
            return learner_code(said.text)
        except LogTrouble as trouble:
            face.notice(trouble.sentence)


def opened_lesson(
    args: argparse.Namespace, folder: Path, learner: str, plan: Plan | None, source: UtteranceSource, face: Face
) -> tuple[Turn, Header, Chooses | None]:
    """The first turn, the header, and who chooses what comes next: of a lesson resumed, or of a new one, whose
    equations are chosen one by one unless there is a plan. Raises EOFError."""
    settings = Settings(args.plain, args.large, args.voice)
    before = None if args.new else unfinished(folder, learner)
    if before is not None and before.header is not None:
        turns = _wanted(before, folder, args.go_on, source, face)
        if turns:
            continues = Continues(before.header.id, len(before.turns), before.chain)
            turn = resumed(turns[-1].turn.state, Resumed(before.header.id))
            saved = plan_record(turn.state.plan)
            header = new_header(learner, saved, settings, chattutor.__version__, continues)
            return turn, header, _resumed_chooser(turns, past_of(folder, learner, before.header.id), args)
    elif in_another_window(folder, learner):
        face.notice(BESIDE)
    elif args.go_on:
        face.notice(NOTHING)
    chooser: Chooses | None = None
    if plan is None and (plan := plan_set(folder, learner, _seed(args))) is not None:
        face.notice(CHOSEN)
    if plan is None:
        chooser = Chooser(past_of(folder, learner), _seed(args), args.minutes)
        plan = chooser.plan()
    elif args.stage == 1 and not past_of(folder, learner).scene:
        first = replace(plan.tasks[0], scene=True)
        plan = replace(plan, tasks=(first, *plan.tasks[1:]))
    chooser = chooser or beside_plan(plan)
    plan = replace(plan, classroom=args.classroom)
    return begin(plan), new_header(learner, plan_record(plan), settings, chattutor.__version__), chooser


def _resumed_chooser(turns: list[Replayed], past: Past, args: argparse.Namespace) -> Chooses | None:
    """The chooser of a lesson that was interrupted, with what was done and the minutes spent so far."""
    plan = turns[-1].turn.state.plan
    if not plan.open:
        return beside_plan(plan)
    records = [each.line.record for each in turns]
    spent = max((record.minutes for record in records if isinstance(record, Given)), default=0.0)
    chooser = Chooser(past, plan.seed, args.minutes, spent=spent)
    for each in turns:
        chooser.heard(each.turn.record)
    return chooser


def _wanted(before: Session, folder: Path, unasked: bool, source: UtteranceSource, face: Face) -> list[Replayed]:
    """The lesson so far, if it can be resumed and the learner wants to; else nothing. Raises EOFError."""
    when = local(before.header.created) if before.header else ""
    try:
        if sum(len(sitting.turns) for sitting in sittings(before, folder)) > MOST_RESUMED:
            face.notice(TOO_LONG.format(when=when))
            return []
        turns = list(replay(before, folder))
    except LogTrouble as trouble:
        face.notice(trouble.sentence)
        return []
    if not all(each.same for each in turns):
        face.notice(CHANGED.format(when=when))
        return []
    return turns if unasked or _yes(OFFER.format(when=when), source, face) else []


def _yes(question: str, source: UtteranceSource, face: Face) -> bool:
    """Ask until the answer is yes or no. Raises EOFError at the end of input or at "stop"."""
    while True:
        face.notice(question)
        said = source.listen()
        meaning = understand(said.text, "yesno", "x") if said else Control("stop")
        if meaning == Control("stop"):
            raise EOFError
        if isinstance(meaning, Say) and meaning.what in {"yes", "no"}:
            return meaning.what == "yes"
