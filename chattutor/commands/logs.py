"""``chattutor logs``: look at session logs, check them, replay them, hand them out, erase them."""

import argparse
from pathlib import Path
from typing import Any

from chattutor.commands import SUMMARIES
from chattutor.common.arguments import web_address, whole_number

DESCRIPTION = "Look at session logs: list, show, check, replay, export or erase them."
ACTIONS = {
    "list": "list the sessions in a folder, one per line",
    "show": "print one session as readable text",
    "verify": "find logs that were cut short, changed or copied, and files that are not logs (exit code 1 if any)",
    "replay": "replay a session with this version of the tutor (exit code 1 if a reply differs)",
    "judge-again": "judge old sessions with today's rules and list what would change",
    "fit": "estimate from the logs how likely learners know, learn, guess and slip; compare with the figures in use",
    "xapi": "print the logs as xAPI statements for a learning record store, one JSON object per line",
    "roster": "make learner codes from a OneRoster users.csv; names go into a separate key file",
    "pack": "write the logs as Parquet files by school and month, for very many logs",
    "collect": "copy logs from sticks, shares and other computers into one folder; says what is new",
    "export": "write all of one learner's records into a zip file",
    "erase": "delete a learner's records, or old ones, for good",
}


def add_parser(subparsers: Any) -> None:
    """Describe the command and its actions."""
    parser = subparsers.add_parser("logs", help=SUMMARIES["logs"], description=DESCRIPTION)
    actions = parser.add_subparsers(metavar="ACTION", required=True, dest="action")
    made = {name: actions.add_parser(name, help=text, description=text) for name, text in ACTIONS.items()}
    for name in ("list", "verify", "judge-again", "fit", "xapi", "pack"):
        made[name].add_argument("folder", nargs="?", type=Path, metavar="DIR", help="the folder of logs")
    for name in ("show", "replay"):
        made[name].add_argument("file", metavar="FILE", help="a session log, or the beginning of its name or id")
    for name in ("export", "erase"):
        made[name].add_argument("code", nargs="?" if name == "erase" else None, metavar="CODE", help="whose records")
    for each in made.values():
        each.add_argument("--logs", metavar="DIR", type=Path, help="the folder of logs (default: your data folder)")
    for name in ("list", "verify", "judge-again", "fit"):
        made[name].add_argument("--json", action="store_true", help="one JSON object per line")
    made["list"].add_argument("--learner", metavar="CODE", help="only this learner")
    made["fit"].add_argument(
        "--by",
        choices=["everything", "stage", "idea"],
        default="everything",
        help="also fit each stage or idea separately",
    )
    made["xapi"].add_argument("--learner", metavar="CODE", help="only this learner")
    made["xapi"].add_argument(
        "--home", metavar="URL", type=web_address, help="home page of the accounts, such as the school's"
    )
    made["collect"].add_argument("sources", nargs="+", type=Path, metavar="DIR", help="folder to copy from")
    made["roster"].add_argument("users", type=Path, metavar="USERS.csv", help="the class list")
    made["roster"].add_argument("--key", type=Path, metavar="FILE", required=True, help="where names are kept")
    made["pack"].add_argument("--school", metavar="NAME", required=True, help="name of the school")
    made["pack"].add_argument("--to", metavar="DIR", type=Path, help="folder to write to (default: packed, inside DIR)")
    made["erase"].add_argument("--packed", metavar="DIR", type=Path, help="also erase from packed data in this folder")
    made["export"].add_argument("--to", metavar="FILE", type=Path, help="the zip file to write (default: CODE.zip)")
    made["erase"].add_argument(
        "--older-than", metavar="DAYS", type=whole_number(0, 36_500), help="only sessions older than this"
    )
    made["erase"].add_argument("--yes", action="store_true", help="delete without asking")


def run(args: argparse.Namespace) -> int:
    """Do the action."""
    from chattutor.exchange import logs_command

    return logs_command.run(args)
