"""The rules of the house: who may import whom, how long a file may be, what a start-up may load, what has help."""

import ast
import re
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from importlib import import_module
from itertools import pairwise
from pathlib import Path

import pytest

import chattutor
from chattutor.commands import SUMMARIES

ROOT = Path(__file__).parent.parent
PACKAGES = ("dialogue", "speech", "chattutor")
SOURCES = sorted(path for package in PACKAGES for path in (ROOT / package).rglob("*.py"))
EVERYTHING = [*SOURCES, *sorted((ROOT / "tests").rglob("*.py"))]
MAY_IMPORT = {"dialogue": {"dialogue"}, "speech": {"speech"}, "chattutor": set(PACKAGES)}
IMPURE = {"time", "datetime", "secrets", "socket", "subprocess", "threading", "asyncio", "os", "sys", "tempfile"}
EVALUATES = {"eval", "exec", "compile", "sympify", "parse_expr", "__import__"}
EXCEPTION = re.compile(r"# (noqa|type: ignore|nosec|pragma)")
REASON = re.compile(r"(noqa: \w+|nosec \w+) - \w+|type: ignore\[[\w-]+\]  # \w+")
HEAVY = {"sympy", "vosk", "pocketsphinx", "pyttsx3", "miniaudio", "sounddevice", "numpy", "rich", "lark", "mpmath"}


def _id(path: Path) -> str:
    return str(path.relative_to(ROOT))


def _imports(path: Path) -> Iterator[str]:
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (name.name for name in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{_id(path)}: imports are absolute here"
            yield node.module or ""


@pytest.mark.parametrize("path", SOURCES, ids=_id)
def test_imports_go_one_way(path: Path) -> None:
    package = path.relative_to(ROOT).parts[0]
    roots = {name.partition(".")[0] for name in _imports(path)}
    assert roots & {*PACKAGES, "tests"} <= MAY_IMPORT[package]
    if "sympy" in roots:
        assert _id(path) == "dialogue/algebra/with_sympy.py"
    if package == "dialogue":
        assert not roots & IMPURE, "dialogue has no clock, no chance and no input or output"


@pytest.mark.parametrize("path", SOURCES, ids=_id)
def test_nothing_evaluates_text(path: Path) -> None:
    called = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        match node:
            case ast.Call(func=ast.Name(id=name)) | ast.Call(func=ast.Attribute(attr=name)):
                if not (name == "compile" and isinstance(node.func, ast.Attribute)):  # re.compile
                    called.add(name)
    assert not called & EVALUATES


@pytest.mark.parametrize("path", EVERYTHING, ids=_id)
def test_no_file_is_longer_than_400_lines(path: Path) -> None:
    assert len(path.read_text(encoding="utf-8").splitlines()) < 400


def _public(node: ast.AST) -> Iterator[ast.ClassDef | ast.FunctionDef]:
    """The classes, functions and methods that others may use, those inside functions left out."""
    for child in ast.iter_child_nodes(node):
        if isinstance(child, ast.ClassDef | ast.FunctionDef) and not child.name.startswith("_"):
            yield child
            if isinstance(child, ast.ClassDef):
                yield from _public(child)


@pytest.mark.parametrize("path", SOURCES, ids=_id)
def test_every_file_and_public_name_says_what_it_is_for(path: Path) -> None:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    assert [node.name for node in _public(tree) if ast.get_docstring(node) is None] == []
    assert ast.get_docstring(tree) is not None or not tree.body


@pytest.mark.parametrize("path", SOURCES, ids=_id)
def test_every_exception_to_a_linter_has_its_reason(path: Path) -> None:
    """On the same line, or in a comment on the line above."""
    lines = ["", *path.read_text(encoding="utf-8").splitlines()]
    excepted = [(above, line) for above, line in pairwise(lines) if EXCEPTION.search(line)]
    assert [line for above, line in excepted if not REASON.search(line) and above.strip()[:1] != "#"] == []


def _run(*words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run([sys.executable, *words], capture_output=True, text=True, check=False, cwd=ROOT)


def test_help_loads_nothing_heavy() -> None:
    program = (
        "import sys, chattutor.cli\n"
        "try: chattutor.cli.main(['--help'])\n"
        "except SystemExit: pass\n"
        "print('LOADED', *sorted({name.partition('.')[0] for name in sys.modules}))"
    )
    out = _run("-c", program).stdout
    loaded = set(out.rpartition("LOADED")[2].split())
    assert "chattutor" in loaded
    assert not loaded & {*HEAVY, "dialogue", "speech", "json", "dataclasses"}


def test_every_command_file_is_in_the_table_and_the_other_way_round() -> None:
    files = {path.stem for path in (ROOT / "chattutor" / "commands").glob("*.py")} - {"__init__"}
    assert files == set(SUMMARIES)


@pytest.mark.parametrize("name", SUMMARIES)
def test_every_command_has_help(name: str) -> None:
    done = _run("-m", "chattutor", name, "--help")
    assert done.returncode == 0, done.stderr
    assert done.stdout.startswith(f"usage: chattutor {name}")
    assert len(done.stdout.splitlines()) > 3
    assert SUMMARIES[name] in " ".join(_run("-m", "chattutor", "--help").stdout.split())


def test_the_version_is_one() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert chattutor.__version__ == project["version"]
    assert project["scripts"] == {"chattutor": "chattutor.__main__:main"}


TUTOR = {"Plan", "Reply", "State", "Task", "Turn", "Utterance", "begin", "expecting", "give", "is_over", "step"}


def test_public_names_are_pinned() -> None:
    import dialogue.tutor

    assert set(dialogue.tutor.__all__) == TUTOR
    for path in SOURCES:
        if path.name == "__init__.py":
            module = import_module(".".join(path.relative_to(ROOT).parts[:-1]))
            names = getattr(module, "__all__", [])
            assert [name for name in names if not hasattr(module, name)] == [], module.__name__
