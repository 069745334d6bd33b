"""Numbers on the command line, with their bounds, and addresses: types for argparse."""

from argparse import ArgumentTypeError
from collections.abc import Callable


def whole(least: int, most: int) -> Callable[[str], int]:
    """A reader of whole numbers of this range."""

    def read(text: str) -> int:
        number = int(text) if text.isascii() and text.isdigit() and len(text) < 12 else least - 1
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


def address(text: str) -> str:
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
