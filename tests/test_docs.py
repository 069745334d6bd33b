"""The guides: every file they name is there, every command in them is one, and what is drawn or listed from the code is
as the code is now."""

import re
import shlex
import tomllib
from pathlib import Path

import pytest
from picture import PICTURE, picture
from public_page import PAGE, page

from chattutor.cli import parser

ROOT = Path(__file__).parent.parent
GUIDES = (
    "README.md", "DEVELOPERS.md", "chattutor/HOW_IT_RUNS.md", "chattutor/CHANGELOG.md", "chattutor/PUBLIC.md",
    "chattutor/exchange/MANY_LOGS.md", "dialogue/tutor/SIDE_BY_SIDE.md", "dialogue/tutor/STATES.md",
    "speech/EXPERIMENTS.md", "tests/bench/FIGURES.md",
)  # fmt: skip
FILE = re.compile(r"`?\b((?:[\w-]+/)*[\w-]+\.(?:py|toml|md|acts|json|txt|css|html|js|svg))\b")
MADE = {  # by a user
    "lessons.csv", "class.html", "back.html", "homework.txt", "work.txt", "sheet.html", "schools.csv", "days.txt",
}  # fmt: skip
THEIRS = {
    "_state.py", "_events.py", "typing.py", "rows.json", "vocabulary.txt", "north.json", "north.html",
    "pages/north.json", "dialogue.acts",
}  # fmt: skip
NAMES = [f"/{path.relative_to(ROOT).as_posix()}" for path in ROOT.rglob("*.*") if ".venv" not in path.parts]
BLOCK = re.compile(r"```(?:sh|bat)\n(.*?)```", re.DOTALL)


def _text(guide: str) -> str:
    return (ROOT / guide).read_text(encoding="utf-8")


@pytest.mark.parametrize("guide", GUIDES)
def test_every_file_a_guide_names_is_there(guide: str) -> None:
    missing = []
    for name in FILE.findall(_text(guide)):
        found = any(path.endswith(f"/{name}") for path in NAMES)
        if not found and name not in MADE | THEIRS and "NAME" not in name and "FOLDER" not in name:
            missing.append(name)
    assert missing == []


def _commands(guide: str) -> list[str]:
    lines = [line for block in BLOCK.findall(_text(guide)) for line in block.splitlines()]
    parts = [part.strip() for line in lines for part in re.split(r"&&|\|", line.partition(" #")[0])]
    return [part for part in parts if part.startswith("chattutor ")]


@pytest.mark.parametrize("guide", GUIDES)
def test_every_command_in_a_guide_parses(guide: str) -> None:
    for command in _commands(guide):
        words = shlex.split(" ".join(command.split()).replace("\\", "/"))[1:]
        try:
            parser(words).parse_args(words)
        except SystemExit as error:
            if error.code not in (0, None):
                pytest.fail(f"{guide}: {command}")


def test_the_guide_is_short() -> None:
    assert len(_text("DEVELOPERS.md").splitlines()) < 250


def test_the_picture_and_the_page_of_functions_are_as_the_code_is() -> None:
    """``python tests/transcripts.py`` and ``python tests/public_page.py`` make them."""
    assert f'src="{PICTURE.relative_to(ROOT).as_posix()}"' in _text("README.md")
    assert PICTURE.read_text("utf-8") == picture()
    assert PAGE.read_text("utf-8") == page()


def test_each_dependency_has_its_licence_and_its_keeper() -> None:
    """In a comment in pyproject.toml, and in the README's table."""
    text = _text("pyproject.toml")
    project = tomllib.loads(text)["project"]
    extras = project["optional-dependencies"]
    for wanted in [*project["dependencies"], *(each for name in ("voice", "page", "scale", "district")
                                               for each in extras[name])]:  # fmt: skip
        name = re.split(r"[\[<>=;]", wanted)[0]
        assert re.search(rf"^\| {name}[ |]", _text("README.md"), re.MULTILINE), name
        assert re.search(rf"(#.*\b{name}: |\"{name}[\[<>=][^\n]*# ).*(MIT|BSD|Apache|MPL|GPL)", text), name


def test_what_the_readme_says_of_the_understanding_is_what_its_card_says() -> None:
    card = _text("dialogue/understanding/en/tagger_card.md")
    turns, _, _, *shares = re.search(r"^\| all \| (.*) \|$", card, re.MULTILINE)[1].split(" | ")  # type: ignore[index]
    at_once, after_one, wrong = (f"{100 * float(share):.0f}%" for share in shares)
    told = " ".join(_text("README.md").split())
    assert f"Tried on {turns} turns" in told
    assert f"it read {at_once} rightly at once and {after_one} after at most one question" in told
    assert f"acted on a wrong reading in {wrong}" in told
