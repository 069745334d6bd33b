"""Files from outside and for others: only ordinary ones are read, never more than fits, and one is written whole."""

import os
import secrets
import stat
from contextlib import suppress
from pathlib import Path
from typing import BinaryIO

from chattutor.common.exits import CannotGoOn, reason

# a pipe that nobody writes to is opened without waiting, and then refused
OPEN = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
MB = 1_000_000


def opened(path: Path, most: int) -> BinaryIO:
    """The file, open to be read, of at most so many bytes. Raises CannotGoOn."""
    try:
        handle = os.open(path, OPEN)
    except OSError as error:
        raise CannotGoOn(f"{path} cannot be read: {reason(error)}.") from error
    state = os.fstat(handle)
    trouble = ""
    if stat.S_ISDIR(state.st_mode):
        trouble = f"{path} cannot be read: Is a directory."
    elif not stat.S_ISREG(state.st_mode):
        trouble = f"{path} is not an ordinary file (a pipe or a device): copy its contents into a file."
    elif state.st_size > most:
        trouble = f"{path} is bigger than {most // MB:,} megabytes; split it into several files."
    if trouble:
        os.close(handle)
        raise CannotGoOn(trouble)
    return open(handle, "rb")


def content(path: Path, most: int) -> bytes:
    """All that is in the file, of at most so many bytes. Raises CannotGoOn."""
    with opened(path, most) as source:
        try:
            return source.read(most + 1)[:most]
        except OSError as error:
            raise CannotGoOn(f"{path} cannot be read: {reason(error)}.") from error


def write_whole(target: Path, text: bytes, mode: int = 0o600) -> None:
    """Write a file beside its place and put it there once it is whole; a full disk leaves what was there before, and
    nothing else. What is no ordinary file (a terminal, a pipe) is written as it is. Raises OSError."""
    if target.exists() and not target.is_file():
        target.write_bytes(text)
        return
    beside = target.with_name(f"{target.name}.{secrets.token_hex(4)}")
    try:
        handle = os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), mode)
        with open(handle, "wb") as out:
            out.write(text)
            out.flush()
            os.fsync(handle)
        os.replace(beside, target)
    except OSError:
        with suppress(OSError):
            beside.unlink()
        raise
