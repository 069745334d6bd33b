"""``chattutor logs``: look at session logs, check them, replay them, hand them out, erase them."""

import argparse
from pathlib import Path
from typing import Any

from chattutor.commands import SUMMARIES
from chattutor.common.arguments import address, whole

DESCRIPTION = "Look at session logs, check them, replay them, hand them out, erase them."
ACTIONS = {
    "list": "the sessions in a folder, a line each",
    "show": "one session as readable text",
    "verify": "find files that are cut short, altered, copied or not ours (exit code 1 if there are any)",
    "replay": "go through a session again with today's tutor (exit code 1 if a reply differs)",
    "judge-again": "judge old sessions with today's rules and list what would change",
    "fit": "how likely knowing, learning, guessing and slipping are, fitted from the logs, beside the figures in use",
    "xapi": "the logs as xAPI statements for a learning record store, a JSON object a line",
    "roster": "make learner codes from a OneRoster users.csv; names go into a key file of their own",
    "pack": "the logs as Parquet by school and month, for more of them than one computer reads",
    "collect": "bring logs together from sticks, shares and other computers; says what is new",
    "export": "all of one learner's records in a zip file",
    "erase": "really delete a learner's records, or old ones",
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
        made[name].add_argument("--json", action="store_true", help="a JSON object a line")
    made["list"].add_argument("--learner", metavar="CODE", help="of this learner only")
    made["fit"].add_argument(
        "--by", choices=["everything", "stage", "idea"], default="everything", help="fit each stage or idea apart too"
    )
    made["xapi"].add_argument("--learner", metavar="CODE", help="of this learner only")
    made["xapi"].add_argument(
        "--home", metavar="URL", type=address, help="the home page of the accounts (the school's, say)"
    )
    made["collect"].add_argument("sources", nargs="+", type=Path, metavar="DIR", help="where logs are to be found")
    made["roster"].add_argument("users", type=Path, metavar="USERS.csv", help="the class list")
    made["roster"].add_argument("--key", type=Path, metavar="FILE", required=True, help="where names are kept")
    made["pack"].add_argument("--school", metavar="NAME", required=True, help="the school these logs are of")
    made["pack"].add_argument("--to", metavar="DIR", type=Path, help="where to (default: packed, in the folder)")
    made["erase"].add_argument("--packed", metavar="DIR", type=Path, help="packed data elsewhere, to erase from too")
    made["export"].add_argument("--to", metavar="FILE", type=Path, help="the zip file to write (default: CODE.zip)")
    made["erase"].add_argument(
        "--older-than", metavar="DAYS", type=whole(0, 36_500), help="only sessions older than this"
    )
    made["erase"].add_argument("--yes", action="store_true", help="delete without asking")


def run(args: argparse.Namespace) -> int:
    """Do the action."""
    from chattutor.exchange import actions

    return actions.run(args)
