"""Fetching an English vosk model: the only use of the network in chattutor, and only where this was asked for.

The publisher gives no checksum that we could know beforehand, so what comes is bounded, unpacked beside its place,
looked through for completeness, and only then given its name: a fetch that is broken off leaves nothing behind.
"""

import os
import shutil
import tempfile
import zipfile
from http.client import HTTPException
from pathlib import Path
from typing import IO
from urllib.parse import urlsplit
from urllib.request import urlopen

from chattutor.common.exits import CannotGoOn, reason
from chattutor.common.files import opened
from chattutor.lesson.ports import TellLine
from speech.recognition.vosk_models import SMALL_MODEL, missing_files, standard_folders

SOURCE = f"https://alphacephei.com/vosk/models/{SMALL_MODEL}.zip"  # the vosk project's own page of models
MB = 1_000_000
MOST_FETCHED = 2_500 * MB  # the largest English model that vosk publishes has 2.3 GB
MOST_UNPACKED = 6_000 * MB
MOST_FILES, DEEPEST = 1_000, 8  # in it; the models have some twenty files, two folders deep
PIECE = 1 << 18
SECONDS = 30.0  # without a byte, after which the network counts as gone
BY_HAND = "fetch it with a browser, then: chattutor voice fetch --from THE-FILE.zip"


def fetch(source: str | None, folder: Path | None, tell: TellLine) -> Path:
    """The folder of the model, fetched from ``source`` (an address or a zip file here) into ``folder``.

    Raises CannotGoOn, with nothing left behind, where it cannot be had or is no whole model.
    """
    source, folder = source or SOURCE, folder or standard_folders()[0]
    remote = urlsplit(source).scheme in {"http", "https"}
    place = folder / Path(urlsplit(source).path if remote else source).stem
    if place.exists():
        lacking = missing_files(place)
        if not lacking:
            tell(f"The model is already there: {place}")
            return place
        raise CannotGoOn(f"{place} is incomplete ({lacking[0]} is missing): delete it, then fetch again.")
    tell(f"{'Fetching' if remote else 'Unpacking'} {source}\ninto {place}")
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(dir=folder, prefix=".fetching-") as beside:
            packed = _loaded(source, Path(beside) / "model.zip", tell) if remote else Path(source)
            os.replace(_unpacked(packed, Path(beside) / "unpacked"), place)
    except (OSError, HTTPException) as error:
        why = reason(error) if isinstance(error, OSError) else str(error)
        advice = f" If it is the network, {BY_HAND}" if remote else ""
        raise CannotGoOn(f"The model could not be fetched ({why}).{advice}") from error
    tell("Done. It is used from now on; delete the folder to remove it.")
    return place


def _loaded(source: str, target: Path, tell: TellLine) -> Path:
    with urlopen(source, timeout=SECONDS) as answer, target.open("wb") as out:  # noqa: S310 # nosec B310 - http(s) only
        size = int(answer.headers.get("Content-Length") or 0)
        _copied(answer, out, size, tell)
        if size and out.tell() != size:
            raise CannotGoOn(f"The connection ended after {out.tell() // MB} of {size // MB} MB. Try again.")
    return target


def _copied(answer: IO[bytes], out: IO[bytes], size: int, tell: TellLine) -> None:
    quarter = 0
    while piece := answer.read(PIECE):
        out.write(piece)
        if out.tell() > MOST_FETCHED:
            raise CannotGoOn("The download is far larger than any model: nothing was kept.")
        if size and out.tell() * 4 // size > quarter:
            quarter = out.tell() * 4 // size
            tell(f"{out.tell() / MB:.0f} of {size / MB:.0f} MB")


def _unpacked(packed: Path, into: Path) -> Path:
    """The one folder in the zip file, if it is a whole model. ``zipfile`` keeps every name inside ``into``."""
    try:
        with opened(packed, MOST_FETCHED) as source, zipfile.ZipFile(source) as file:
            entries = file.infolist()
            if len(entries) > MOST_FILES or any(one.filename.count("/") > DEEPEST for one in entries):
                raise CannotGoOn(f"{packed.name} holds more files or folders than any model: nothing was unpacked.")
            if sum(one.file_size for one in entries) > min(MOST_UNPACKED, shutil.disk_usage(into.parent).free):
                raise CannotGoOn(f"{packed.name} holds more than there is room for: nothing was unpacked.")
            file.extractall(into)
    except (zipfile.BadZipFile, EOFError, NotImplementedError, RuntimeError) as error:
        raise CannotGoOn(f"The download is not a complete zip file ({error}): nothing was kept. Try again.") from error
    folders = [one for one in into.iterdir() if one.is_dir()] if into.exists() else []
    if len(folders) != 1 or missing_files(folders[0]):
        raise CannotGoOn("The zip file holds no complete vosk model: nothing was kept.")
    return folders[0]
