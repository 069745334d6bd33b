"""Numbers on the command line, with their bounds, and addresses: types for argparse."""

import argparse
from argparse import ArgumentTypeError
from collections.abc import Callable
from typing import NoReturn

from chattutor.common.exits import USAGE, plain


def whole_number(least: int, most: int) -> Callable[[str], int]:
    """A reader of whole numbers of this range."""

    def read(text: str) -> int:
        number = int(text) if text.isascii() and text.isdecimal() and len(text) < 12 else least - 1
        if not least <= number <= most:
            raise ArgumentTypeError(f"a whole number from {least} to {most}, please")
        return number

    return read


def between(least: float, most: float, what: str = "a number") -> Callable[[str], float]:
    """A reader of numbers of this range; ``what`` they are, for the message."""

    def read(text: str) -> float:
        try:
            number = float(text)
        except ValueError:
            number = least - 1
        if not least <= number <= most:  # so that "nan" is refused as well
            raise ArgumentTypeError(f"{what} from {least} to {most}, please")
        return number

    return read


def web_address(text: str) -> str:
    """A web address with its scheme and its site, without the last slash; what xAPI calls an IRL."""
    from urllib.parse import urlsplit

    try:
        found = urlsplit(text)
        whole_address = found.scheme in {"http", "https"} and bool(found.hostname) and text.isprintable()
    except ValueError:
        whole_address = False
    if not whole_address or " " in text:
        raise ArgumentTypeError("a web address such as https://school.example, please")
    return text.rstrip("/")


TYPES = {"invalid int value": "not a whole number", "invalid float value": "not a number"}  # argparse's words, ours


class Parser(argparse.ArgumentParser):
    """Argparse's, which says what is wrong on one line, and shows what was typed as plain text."""

    def error(self, message: str) -> NoReturn:
        """What is wrong, where to read more, and exit code 2."""
        said = plain(message)
        for theirs, ours in TYPES.items():
            said = said.replace(theirs, ours)
        self.exit(USAGE, f"{self.prog}: {said}. Try '{self.prog} --help'.\n")


def day(text: str) -> str:
    """A day as YYYY-MM-DD."""
    from datetime import date

    try:
        return date.fromisoformat(text).isoformat()
    except ValueError:
        raise ArgumentTypeError(f"a day such as 2026-11-02, please, and not {text!r}") from None
