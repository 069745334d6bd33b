"""Every text that a person may meet: ``python tests/messages.py`` prints them, to be read aloud.

Found in the code, not listed: each string of three words or more outside docstrings, patterns and queries; the texts of
the packaged tables, pages and scripts. Names of wordings and kinds of events are among them.
"""

import ast
import re
import tomllib
from collections.abc import Iterator
from html import unescape
from pathlib import Path
from typing import Any, NamedTuple

ROOT = Path(__file__).parent.parent
PACKAGES = ("dialogue", "speech", "chattutor")
WORDS = re.compile(r"[A-Za-z]{2,}")
NOT_WORDS = re.compile(r"\(\?|\\[bswd]|default-src|SELECT|COPY|CREATE|PARTITION|read_json|\w\[|[a-z]+=[\w-]+ [a-z-]+=")
TABLES = (  # with words for people; the others hold what learners say, or numbers
    "dialogue/verbalising/en", "dialogue/algebra/misconceptions", "dialogue/learner/contexts.toml",
    "chattutor/page/record_actions.toml", "chattutor/paper/phrases.toml",
)  # fmt: skip
QUOTED = re.compile(r"\"(?:[^\"\\\n]|\\.)*\"|`[^`]*`")


class Message(NamedTuple):
    """A text, its places to be filled as ``{}``, and where it stands."""

    place: str
    text: str


def messages() -> Iterator[Message]:
    """All of them."""
    for package in PACKAGES:
        for path in sorted((ROOT / package).rglob("*.py")):
            for line, text in _strings(ast.parse(path.read_text("utf-8"))):
                yield from _message(path, line, text)
    for path in (path for name in TABLES for path in _tables(ROOT / name)):
        for text in _leaves(tomllib.loads(path.read_text("utf-8"))):
            yield from _message(path, 0, text)
    for path in sorted([*(ROOT / "chattutor").rglob("*.html"), *(ROOT / "chattutor").rglob("*.txt")]):
        text = re.sub(r"{[%#].*?[%#]}|<style.*?</style>", " ", path.read_text("utf-8"), flags=re.DOTALL)
        for part in re.split(r"<[^<>]*>|\n\n", re.sub(r"{{.*?}}", "{}", text)):
            yield from _message(path, 0, part)
    for path in sorted((ROOT / "chattutor").rglob("*.js")):
        for found in QUOTED.findall(re.sub(r"(?m)^\s*(//|\*|/\*).*$", "", path.read_text("utf-8"))):
            yield from _message(path, 0, re.sub(r"\$?{[^{}]*}", "{}", found[1:-1]))


def _message(path: Path, line: int, raw: str) -> Iterator[Message]:
    text = " ".join(unescape(re.sub(r"<[^<>]*>", " ", raw)).split())
    if len(WORDS.findall(text)) >= 3 and " " in text and not NOT_WORDS.search(text):
        yield Message(f"{path.relative_to(ROOT).as_posix()}:{line}" if line else path.name, text)


def _tables(path: Path) -> list[Path]:
    return sorted(path.glob("*.toml")) if path.is_dir() else [path]


def _leaves(table: Any) -> Iterator[str]:
    match table:
        case str():
            yield table
        case dict():
            for each in table.values():
                yield from _leaves(each)
        case list():
            for each in table:
                yield from _leaves(each)


def _strings(tree: ast.Module) -> Iterator[tuple[int, str]]:
    """The outermost strings of a module, those put together from parts as one; none that stands as a statement."""
    waiting: list[ast.AST] = [tree]
    while waiting:
        node = waiting.pop()
        text = None if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant) else text_of(node)
        if text is not None and isinstance(node, ast.expr):
            yield node.lineno, text
        elif not (isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)):
            waiting += ast.iter_child_nodes(node)


def text_of(node: ast.AST) -> str | None:
    """A string as written, put together from its parts; None for any other node."""
    match node:
        case ast.Constant(value=str(text)):
            return text
        case ast.JoinedStr(values=parts):
            return "".join(part.value if isinstance(part, ast.Constant) else "{}" for part in parts)
        case ast.BinOp(left=left, op=ast.Add(), right=right):
            both = text_of(left), text_of(right)
            return None if None in both else "".join(map(str, both))
    return None


if __name__ == "__main__":
    for message in messages():
        print(f"{message.place}: {message.text}")
