"""Every text that a person may meet (``messages.py`` finds them) is plain English, and every refusal is one line."""

import ast
import re
from functools import cache

from messages import PACKAGES, ROOT, Message, messages, text_of

from chattutor.common import exits
from dialogue.algebra import refusals
from speech import errors

ODD = re.compile(
    r"\b(put down|gone on with|further words?|amiss|in vain|whosoever|reckon\w*|aught|anew|thereof|"
    r"to the letter|told you are|is no (?:text|step|act|number|register)\b|was told not to|judge .* otherwise|"
    r"put it so|ears|talker|holds Python)\b"
)
SENTENCE = re.compile(r"[^.?!]+[.?!](?=\s|$)")
MOST_WORDS = 34  # of a sentence; those that learners hear have a limit of their own (tests/tutor/test_style.py)
CODE = re.compile(r"[{}<>|=]|--|\w+[/\\]\w+|\d\(|\w\.\w")
RAISED = {
    name
    for module in (exits, refusals, errors)
    for name, kind in vars(module).items()
    if isinstance(kind, type) and issubclass(kind, Exception)
} | {"Unusable"}
SAY_THEMSELVES = {"UnknownBelow", "NotLinear", "DivisionByZero"}  # their text is their own


@cache
def found() -> tuple[Message, ...]:
    """All of them, found once."""
    return tuple(messages())


def test_the_texts_of_every_kind_are_found() -> None:
    """That the walk does not pass over a kind of place."""
    kinds = {message.place.partition(":")[0].rpartition(".")[2] for message in found()}
    assert kinds == {"py", "toml", "html", "txt", "js"}
    texts = {message.text for message in found()}
    assert {
        "There is no equals sign here, so this is not an equation.",
        "Hello. Here is an equation to start with.",
        "{} cannot be read: {}.",
        "The tutor can be reached again.",
        "Groups to re-teach",
    } <= texts
    assert len(found()) > 1500


def test_no_odd_words() -> None:
    """Phrases that were read aloud once and rewritten stay so."""
    assert [message for message in found() if ODD.search(message.text)] == []


def test_sentences_are_short() -> None:
    long: list[Message] = []
    for message in found():
        for sentence in SENTENCE.findall(message.text):
            if not CODE.search(sentence) and len(sentence.split()) > MOST_WORDS:
                long.append(Message(message.place, sentence))
    assert long == []


def test_a_sentence_begins_with_a_capital() -> None:
    """Of messages that are sentences: after a full stop nothing goes on in small letters."""
    small = [message for message in found() if re.search(r"[a-z]{3}[.?!] [a-z]{3}", message.text)]
    assert [one for one in small if not CODE.search(one.text) and "chattutor" not in one.text] == []


def test_what_is_raised_says_something_on_one_line() -> None:
    """No error of ours is raised without a text, or with one of several lines, but for a list that is announced."""
    found = []
    for package in PACKAGES:
        for path in sorted((ROOT / package).rglob("*.py")):
            for node in ast.walk(ast.parse(path.read_text("utf-8"))):
                match node:
                    case ast.Raise(exc=ast.Call(func=ast.Name(id=name), args=args)) if name in RAISED:
                        text = text_of(args[0]) or "" if args else "\n" * (name not in SAY_THEMSELVES)
                        if "\n" in text.removesuffix(":\n{}"):
                            found.append(f"{path.relative_to(ROOT)}:{node.lineno}: {name}")
    assert found == []
