"""What ``chattutor logs`` does: each action prints to standard output and gives its exit code."""

import argparse
import json
import sys
from collections.abc import Callable
from dataclasses import asdict
from pathlib import Path

from chattutor.common.exits import FINE, TROUBLE, USAGE, CannotGoOn, LogTrouble
from chattutor.common.output import in_utf8
from chattutor.exchange import erasing
from chattutor.session_logs import verifying
from chattutor.session_logs.folder import closed_folders, default_folder, session_files, sessions
from chattutor.session_logs.learner_code import learner_code
from chattutor.session_logs.reader import Session, read_session
from chattutor.session_logs.transcript import ENDINGS, equations, heading, local, shown, transcript

FROM_PAPER = """
This is work marked from paper: nothing was asked and nothing answered, so there is no conversation to replay.
"chattutor logs judge-again" judges its lines with today's rules."""


def run(args: argparse.Namespace) -> int:
    """Do the action named in the arguments. Raises LogTrouble."""
    in_utf8()
    return ACTIONS[args.action](args, getattr(args, "folder", None) or args.logs or default_folder())


def _list(args: argparse.Namespace, folder: Path) -> int:
    for session in sessions(folder, args.learner):
        header = session.header
        if header is None:
            continue
        said = sum(turn.said is not None for turn in session.turns)
        why = session.end.why if session.end else "interrupted"
        if args.json:
            row = {"learner": header.learner, "created": header.created, "id": header.id, "turns": said, "end": why}
            row |= {"file": str(session.path), "problems": [problem.kind for problem in session.problems]}
            print(json.dumps(row))
        else:
            when = local(header.created)
            faults = f"  ! {session.problems[0].sentence}" if session.problems else ""
            what = "; ".join(equations(header.plan)[:3])
            turns = f"{said:>4} {'turn ' if said == 1 else 'turns'}"
            print(shown(f"{header.id[:8]}  {when}  {header.learner:<12} {turns}  {why:<12} {what}{faults}"))
    return _looked_at_all(folder)


def _looked_at_all(folder: Path) -> int:
    """Fine, or trouble with a line on each folder that could not be opened."""
    closed = closed_folders(folder)
    for sentence in closed:
        print(f"chattutor: {shown(sentence)}", file=sys.stderr)
    return TROUBLE if closed else FINE


def _show(args: argparse.Namespace, folder: Path) -> int:
    session = _one(args.file, folder)
    print("\n".join(transcript(session)))
    return FINE if session.header is not None else TROUBLE


def _verify(args: argparse.Namespace, folder: Path) -> int:
    checked = verifying.Checked()
    for found in verifying.verify(folder, checked):
        if args.json:
            print(json.dumps({"file": str(found.path), "kind": found.kind, "problem": found.sentence}))
        else:
            print(f"{shown(found.path)}: {found.kind}. {shown(found.sentence)}")
    print(
        f"{checked.sound} sound ({checked.unfinished} interrupted), {checked.faulty} with something wrong.",
        file=sys.stderr if args.json else sys.stdout,
    )
    return TROUBLE if checked.faulty else FINE


def _replay(args: argparse.Namespace, folder: Path) -> int:
    from chattutor.session_logs.replay import replay
    from chattutor.session_logs.saved import reply_records
    from chattutor.session_logs.transcript import LEARNER, learner_words, reply_text

    session = _one(args.file, folder)
    if session.header is None:
        raise LogTrouble(f"{session.path}: {session.problems[0].sentence}")
    home = session.path.parent if Path(args.file).is_file() else folder
    if session.header.settings.paper:
        print("\n".join(transcript(session)))
        print(FROM_PAPER)
        return FINE
    print("\n".join(heading(session)))
    differ = 0
    for turn in replay(session, home):
        if turn.line.said is not None:
            print(f"{LEARNER}{learner_words(turn.line.said)}")
        for reply in reply_records(turn.turn.replies):
            print(reply_text(reply))
        if not turn.same:
            differ += 1
            for written in turn.line.replies:
                print(f"! then:  {shown(written.text)}")
    print(ENDINGS.get(session.end.why, "") if session.end else "(interrupted)")
    if differ:
        print(f"chattutor: {differ} turns are answered differently today.", file=sys.stderr)
    return TROUBLE if differ else FINE


def _judge_again(args: argparse.Namespace, folder: Path) -> int:
    from chattutor.session_logs.rejudge import changes

    count = 0
    for session in sessions(folder):
        for change in changes(session, folder):
            count += 1
            if args.json:
                print(json.dumps(asdict(change)))
            else:
                print(shown(f"{session.path}, turn {change.turn}: {change.text!r} on {change.equation}"))
                for key, (then, now) in change.changed.items():
                    print(shown(f"    {key}: {then} then, {now} now"))
    print(f"{count} turns would be understood or judged differently.", file=sys.stderr if args.json else sys.stdout)
    return FINE


def _fit(args: argparse.Namespace, folder: Path) -> int:
    from chattutor.session_logs import tracing_fit

    return tracing_fit.run(folder, args.by, args.json)


def _xapi(args: argparse.Namespace, folder: Path) -> int:
    from chattutor.exchange import xapi

    for session in sessions(folder, None if args.learner is None else learner_code(args.learner)):
        for statement in xapi.statements(session, args.home.rstrip("/") if args.home else xapi.HOME):
            print(json.dumps(statement))
    return _looked_at_all(folder)


def _roster(args: argparse.Namespace, folder: Path) -> int:
    from chattutor.exchange.roster import make_codes

    if folder.resolve() in args.key.resolve().parents:
        raise CannotGoOn(f"Keep the key away from the logs in {folder}: name another place with --key.", USAGE)
    people, new = make_codes(args.users, args.key)
    print(f"{new} codes made, {len(people) - new} kept. Names are in {args.key} and nowhere else; no command needs it.")
    return FINE


def _pack(args: argparse.Namespace, folder: Path) -> int:
    from chattutor.exchange import parquet

    target = args.to or folder / parquet.PACKED
    count = parquet.pack(folder, target, args.school)
    print(
        f"{count:,} rows of school {args.school} are in {target}, by month. They hold learners' words, as the logs do."
    )
    return FINE


def _export(args: argparse.Namespace, folder: Path) -> int:
    learner = learner_code(args.code)
    target = args.to or Path(f"{learner}.zip")
    looked = _looked_at_all(folder)
    count = erasing.export(folder, learner, target)
    print(f"{count} session{'' if count == 1 else 's'} of learner {learner}, and any teacher's notes, are in {target}.")
    return looked


def _erase(args: argparse.Namespace, folder: Path) -> int:
    if args.code is None and args.older_than is None:
        raise CannotGoOn("Give a learner's code, or --older-than DAYS.", USAGE)
    learner = None if args.code is None else learner_code(args.code)
    before = None if args.older_than is None else erasing.days_ago(args.older_than)
    packed, unread = erasing.packed(folder, args.packed, learner, before)
    if before is not None:
        found = erasing.older_than(folder, before, learner)
    else:
        found = erasing.of_learner(folder, str(learner))
    paths, unread = found.paths, [*found.unreached, *unread]
    paths += [path for each in (folder, args.packed) for path in erasing.unmade(each) if path not in paths]
    if not paths and not packed:
        if unread:
            return _left(unread)
        print(f"There is nothing to erase in {folder}.")
        return FINE
    if not args.yes:
        if not sys.stdin.isatty():
            raise CannotGoOn(f"{_files(len(paths) + len(packed))} would be deleted for good; add --yes to do it.")
        if input(f"Delete {_files(len(paths) + len(packed))} for good? yes or no: ").strip().lower() not in {
            "y",
            "yes",
        }:
            return TROUBLE
    erased = erasing.erase(paths, folder)
    erasing.forget_notes(found, folder, erased)
    erasing.unpack(packed, learner, before, erased)
    erased.left += unread
    what = f" ({', '.join(erased.what)})" if erased.what else ""
    print(f"Deleted {_files(len(erased.deleted))}, {erased.bytes:,} bytes{what}. {erasing.BACKUPS}")
    return _left(erased.left) if erased.left else FINE


def _left(sentences: list[str]) -> int:
    for sentence in sentences:
        print(f"Not deleted: {shown(sentence)}", file=sys.stderr)
    return TROUBLE


def _files(number: int) -> str:
    return f"{number:,} file" + ("" if number == 1 else "s")


def _one(named: str, folder: Path) -> Session:
    """The session a person means: a path, or the beginning of a file's name or of an id. Raises LogTrouble."""
    if Path(named).is_file():
        return read_session(Path(named))
    found = [path for path in session_files(folder) if path.name.startswith(named) or f"-{named}" in path.name]
    if len(found) == 1:
        return read_session(found[0])
    many = f"{len(found)} sessions are" if found else "No session is"
    raise LogTrouble(f"{many} called {named!r} in {folder}; chattutor logs list shows them.")


def _collect(args: argparse.Namespace, folder: Path) -> int:
    from chattutor.exchange.collect_logs import collect, report

    found = collect(args.sources, folder)
    print("\n".join(map(shown, report(found, folder))))
    return TROUBLE if found.left else FINE


ACTIONS: dict[str, Callable[[argparse.Namespace, Path], int]] = {
    "list": _list,
    "show": _show,
    "verify": _verify,
    "replay": _replay,
    "judge-again": _judge_again,
    "fit": _fit,
    "xapi": _xapi,
    "roster": _roster,
    "pack": _pack,
    "collect": _collect,
    "export": _export,
    "erase": _erase,
}
