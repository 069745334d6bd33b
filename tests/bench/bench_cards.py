"""The class page against learners written by blind authors: lessons and review by the public commands alone.

    python tests/bench/bench_cards.py FILE ... [--keep DIR] [--seed N] [--only CODE]

Each card (written_learners.py says what one is) has one lesson of its own equations through ``chattutor lesson``; then
``chattutor review --json`` is asked. A line on each card, then the figures: ideas whose lines broke the balance on two
equations or more and that are named, ideas named that nobody has, and the kinds of whom to see first.
"""

import argparse
import json
import subprocess
import tempfile
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

from bench_truth import PROGRAM, lesson
from rows import row
from written_learners import Card, read_cards


def held(card: Card, home: Path, seed: int) -> int:
    """The card's lesson; how many turns it had."""
    equations = home / f"{card.code}.txt"
    equations.write_text("\n".join(each.equation for each in card.written) + "\n", "utf-8")
    return lesson(card, equations, home / "logs", seed)


def told(cards: list[Card], page: dict[str, Any], turns: int) -> None:
    """A line on each card, and the figures."""
    rows = {each["code"]: each for each in page["learners"]}
    first = {each["code"]: each for each in page["see_first"]}
    twice = named = unknown = invented = kinds = expected = 0
    for card in cards:
        ideas = [idea["errors"] for idea in rows.get(card.code, {"ideas": []})["ideas"]]
        is_idea = card.fields.get("truth") == "idea"
        shown = is_idea and len(card.shown) > 1
        found = any(error in errors for errors in ideas for error in card.named)
        wrong = [errors for errors in ideas if not set(errors) & set(card.named)]
        twice += shown and bool(card.named)
        named += shown and found
        unknown += shown and not card.named
        invented += len(wrong)
        kind = first.get(card.code, {}).get("kind", "-")
        if card.expects:
            expected += 1
            kinds += kind == card.expects
        verdict = ("named" if found else "MISSED" if card.named else "not in the table") if shown else ""
        print(f"{card.code} {card.fields.get('truth')} shown on {len(card.shown)} {verdict}"
              f"{' INVENTED ' + str(wrong) if wrong else ''}; ideas {ideas}; see first {kind}: "
              f"{first.get(card.code, {}).get('why', '')}\n    {card.fields.get('idea', '')} {card.named}")  # fmt: skip
    print(f"{len(cards)} learners, {turns} turns: {named} of {twice} ideas named, {unknown} that the table has not, "
          f"{invented} invented, {kinds} of {expected} to see first as they are")  # fmt: skip
    row(f"blind authors' ideas named (n = {twice}, shown on two equations)", [named / max(twice, 1)], "share")
    row(f"ideas named that nobody has (of {len(cards)} blind authors' learners)", [float(invented)], "")
    row(
        f"blind authors' learners to see first, of the kind they are (n = {expected})",
        [kinds / max(expected, 1)],
        "share",
    )


def main() -> None:
    """Hold the lessons, read the class, and say how it went."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("files", type=Path, nargs="+")
    parser.add_argument("--keep", type=Path, help="a folder for the logs")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", default="", help="codes that begin so")
    asked = parser.parse_args()
    home = asked.keep or Path(tempfile.mkdtemp(prefix="cards-"))
    home.mkdir(parents=True, exist_ok=True)
    every = [card for file in asked.files for card in read_cards(file, asked.seed)]
    cards = [card for card in every if card.code.startswith(asked.only)]
    with ThreadPoolExecutor(2) as pool:
        turns = sum(pool.map(lambda card: held(card, home, asked.seed), cards))
    shown = subprocess.run([*PROGRAM, "review", str(home / "logs"), "--json"], capture_output=True, check=True)
    told(cards, json.loads(shown.stdout), turns)


if __name__ == "__main__":
    main()
