"""JSON lines in, JSON lines out, in the same order, a line at a time in bounded memory.

What cannot be read is answered with ``{"error": "..."}`` in its place. Output is flushed before every wait
for input, so a program that writes one line and waits for its answer gets it, and a million lines go fast.
"""

import json
import os
import sys
from collections.abc import Callable, Iterator
from typing import Any, TypeAlias

from chattutor.common.exits import FINE, TROUBLE, CannotGoOn, reason
from chattutor.common.output import in_utf8, json_line
from dialogue.algebra.refusals import Refusal

MAX_LINE = 65_536  # bytes; an utterance with its equation needs some hundreds
CHUNK = 65_536

AnswerLine: TypeAlias = Callable[[dict[str, Any]], dict[str, Any]]


class Unusable(ValueError):
    """A line that is not what the command takes; the message says why."""


def answer_lines(answer: AnswerLine) -> int:
    """Answer every line of standard input on standard output; the exit code is 1 if any was an error."""
    in_utf8()
    write, flush = sys.stdout.write, sys.stdout.flush
    code = FINE
    for line in _lines(sys.stdin.fileno(), flush):
        try:
            out = answer(_object(line))
        except Refusal as refusal:
            out = {"error": refusal.sentence} | ({} if refusal.at is None else {"at": refusal.at})
            code = TROUBLE
        except Unusable as unusable:
            out = {"error": str(unusable)}
            code = TROUBLE
        write(json_line(out) + "\n")
    return code


def text_of(given: dict[str, Any], key: str) -> str:
    """The string under a key. Raises Unusable where it is missing or not a string."""
    value = given.get(key)
    if not isinstance(value, str):
        raise Unusable(f'"{key}" is missing.' if value is None else f'"{key}" must be a string.')
    return value


def _object(line: bytes | None) -> dict[str, Any]:
    if line is None:
        raise Unusable(f"This line is longer than {MAX_LINE} bytes.")
    try:
        given = json.loads(line.decode("utf-8"))
    except UnicodeDecodeError as error:
        raise Unusable(f"This line is not UTF-8 text (byte {error.start}).") from error
    except json.JSONDecodeError as error:
        raise Unusable(f"This line is not JSON: {error.msg} (column {error.colno}).") from error
    except (ValueError, RecursionError) as error:  # a number of thousands of digits; brackets thousands deep
        raise Unusable("This line is not JSON that can be used here.") from error
    if not isinstance(given, dict):
        raise Unusable("This line is JSON, but not an object.")
    return given


def _lines(source: int, before_waiting: Callable[[], None]) -> Iterator[bytes | None]:
    """Lines of a file descriptor without their line ends; None in place of one past the bound."""
    held = b""
    skipping = False
    while True:
        before_waiting()
        try:
            chunk = os.read(source, CHUNK)
        except OSError as error:
            raise CannotGoOn(f"Standard input cannot be read: {reason(error)}.") from error
        *whole, held = (held + chunk).split(b"\n") if chunk else (held, b"")
        for line in whole:
            if skipping or len(line) > MAX_LINE:
                yield None
            elif chunk or line:
                yield line
            skipping = False
        if not chunk:
            return
        if len(held) > MAX_LINE:
            skipping, held = True, b""
