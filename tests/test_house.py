"""The rules of the house: who may import whom, how long a file may be, what a start-up may load, what has help."""

import ast
import re
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from functools import cache
from graphlib import CycleError, TopologicalSorter
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
HEAVY = {
    "sympy",
    "vosk",
    "pocketsphinx",
    "pyttsx3",
    "miniaudio",
    "sounddevice",
    "numpy",
    "rich",
    "lark",
    "mpmath",
    "starlette",
    "uvicorn",
    "anyio",
}


def _id(path: Path) -> str:
    return str(path.relative_to(ROOT))


@cache
def _tree(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


@cache
def _imports(path: Path) -> tuple[str, ...]:
    """Every module that is named, and after ``from m import n`` both m and m.n, which may be a module too."""
    found: list[str] = []
    for node in ast.walk(_tree(path)):
        if isinstance(node, ast.Import):
            found += [name.name for name in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{_id(path)}: imports are absolute here"
            found += [node.module or "", *(f"{node.module}.{name.name}" for name in node.names)]
    return tuple(found)


def test_imports_go_one_way() -> None:
    found = []
    for path in SOURCES:
        package = path.relative_to(ROOT).parts[0]
        roots = {name.partition(".")[0] for name in _imports(path)}
        if not roots & {*PACKAGES, "tests"} <= MAY_IMPORT[package]:
            found.append(f"{_id(path)}: {package} may not import {roots & {*PACKAGES, 'tests'} - MAY_IMPORT[package]}")
        if "sympy" in roots and _id(path) != "dialogue/algebra/with_sympy.py":
            found.append(f"{_id(path)}: sympy is imported in one file alone")
        if package == "dialogue" and roots & IMPURE:
            found.append(f"{_id(path)}: dialogue has no clock, no chance and no input or output")
    assert found == []


@cache
def _room(name: str) -> str | None:
    """The folder of a module, by its dotted name; None for a name in a module, and for a package's own few words."""
    path = ROOT / name.replace(".", "/")
    return _id(path.parent) if path.with_suffix(".py").is_file() else None


def test_no_two_folders_import_each_other() -> None:
    """Nor do any more of them in a ring: each folder has its floor, those inside another too."""
    after: dict[str, set[str]] = {}
    for path in SOURCES:
        here = _id(path.parent)
        there = {_room(name) for name in _imports(path) if name.partition(".")[0] in PACKAGES}
        package = {_id(ROOT / name.replace(".", "/")) for name in _imports(path) if _has_names(name)}
        after.setdefault(here, set()).update({each for each in there | package if each} - {here})
    try:
        tuple(TopologicalSorter(after).static_order())
    except CycleError as error:
        pytest.fail(" -> ".join(error.args[1]))


@cache
def _has_names(name: str) -> bool:
    """Whether it is a package whose own file imports something of ours."""
    path = ROOT / name.replace(".", "/") / "__init__.py"
    return path.is_file() and any(each.partition(".")[0] in PACKAGES for each in _imports(path))


def test_no_module_name_stands_in_two_folders() -> None:
    names = [path for path in SOURCES if path.name != "__init__.py"]
    twice = {path.name: [_id(each) for each in names if each.name == path.name] for path in names}
    assert [paths for paths in twice.values() if len(paths) > 1] == []


def _types(path: Path) -> Iterator[str]:
    """The classes, type aliases and type variables of a module, its private ones too."""
    for node in _tree(path).body:
        match node:
            case ast.ClassDef(name=name):
                yield name
            case ast.AnnAssign(target=ast.Name(id=name), annotation=ast.Name(id="TypeAlias")):
                yield name
            case ast.Assign(targets=[ast.Name(id=name)]) if re.fullmatch(r"_?[A-Z]\w*[a-z]\w*", name):
                yield name


def test_no_type_is_defined_in_two_modules() -> None:
    """One name, one meaning: whoever reads ``Row`` need not ask whose."""
    where: dict[str, list[str]] = {}
    for path in SOURCES:
        for name in _types(path):
            where.setdefault(name, []).append(_id(path))
    assert {name: paths for name, paths in where.items() if len(paths) > 1} == {}


def test_no_name_that_others_import_is_defined_in_two_modules() -> None:
    """Functions and constants, that is; what a module keeps to itself it may call as it likes."""
    defined = {(_dotted(path), name) for path in SOURCES for name in _defined(path)}
    taken: dict[str, set[str]] = {}
    for path in SOURCES:
        for node in ast.walk(_tree(path)):
            if isinstance(node, ast.ImportFrom):
                for each in node.names:
                    if (node.module or "", each.name) in defined:
                        taken.setdefault(each.name, set()).add(node.module or "")
    assert {name: modules for name, modules in taken.items() if len(modules) > 1} == {}


def _dotted(path: Path) -> str:
    return ".".join(path.relative_to(ROOT).with_suffix("").parts)


def _defined(path: Path) -> Iterator[str]:
    """The functions, classes and constants of a module."""
    for node in _tree(path).body:
        match node:
            case ast.FunctionDef(name=name) | ast.ClassDef(name=name) | ast.AnnAssign(target=ast.Name(id=name)):
                yield name
            case ast.Assign(targets=targets):
                yield from (each.id for target in targets for each in ast.walk(target) if isinstance(each, ast.Name))


def test_nothing_evaluates_text() -> None:
    found = []
    for path in SOURCES:
        for node in ast.walk(_tree(path)):
            match node:
                case ast.Call(func=ast.Name(id=name)) | ast.Call(func=ast.Attribute(attr=name)):
                    compiles = name == "compile" and isinstance(node.func, ast.Attribute)  # re.compile
                    if name in EVALUATES and not compiles:
                        found.append(f"{_id(path)}:{node.lineno}: {name}")
    assert found == []


def test_no_file_is_longer_than_400_lines() -> None:
    long = {_id(path): len(path.read_text(encoding="utf-8").splitlines()) for path in EVERYTHING}
    assert {path: lines for path, lines in long.items() if lines >= 400} == {}


def _public(node: ast.AST) -> Iterator[ast.ClassDef | ast.FunctionDef]:
    """The classes, functions and methods that others may use, those inside functions left out."""
    for child in ast.iter_child_nodes(node):
        if isinstance(child, ast.ClassDef | ast.FunctionDef) and not child.name.startswith("_"):
            yield child
            if isinstance(child, ast.ClassDef):
                yield from _public(child)


def test_every_file_and_public_name_says_what_it_is_for() -> None:
    found = []
    for path in SOURCES:
        tree = _tree(path)
        found += [f"{_id(path)}: {node.name}" for node in _public(tree) if ast.get_docstring(node) is None]
        if tree.body and ast.get_docstring(tree) is None:
            found.append(_id(path))
    assert found == []


def test_every_exception_to_a_linter_has_its_reason() -> None:
    """On the same line, or in a comment on the line above."""
    found = []
    for path in SOURCES:
        lines = ["", *path.read_text(encoding="utf-8").splitlines()]
        excepted = [(above, line) for above, line in pairwise(lines) if EXCEPTION.search(line)]
        without = [line for above, line in excepted if not REASON.search(line) and above.strip()[:1] != "#"]
        found += [f"{_id(path)}: {line.strip()}" for line in without]
    assert found == []


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


def test_every_command_has_help() -> None:
    all_of_them = " ".join(_run("-m", "chattutor", "--help").stdout.split())
    for name, summary in SUMMARIES.items():
        done = _run("-m", "chattutor", name, "--help")
        assert done.returncode == 0, done.stderr
        assert done.stdout.startswith(f"usage: chattutor {name}")
        assert len(done.stdout.splitlines()) > 3, name
        assert summary in all_of_them


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
