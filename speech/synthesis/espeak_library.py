"""Where eSpeak NG is on this machine: the system's library, or the one inside the wheel espeakng-loader."""

import ctypes.util
import importlib.util
from dataclasses import dataclass
from pathlib import Path

ADVICE = "pip install espeakng-loader"


@dataclass(frozen=True, slots=True)
class Library:
    """A library to load (path or name), and the folder of its data; None where the library knows it."""

    path: str
    data: str | None
    origin: str


def bundled() -> Library | str:
    """The library inside the wheel, or in words what is missing. eSpeak ends the process when its data is
    missing, so that is looked at first."""
    if importlib.util.find_spec("espeakng_loader") is None:
        return f"eSpeak NG is not installed: {ADVICE}"
    import espeakng_loader

    library, data = Path(espeakng_loader.get_library_path()), Path(espeakng_loader.get_data_path())
    if not library.is_file() or not (data / "phontab").is_file():
        return "eSpeak NG is only half installed: pip install --force-reinstall espeakng-loader"
    return Library(str(library), str(data), "eSpeak NG from its wheel")


def installed() -> Library | None:
    """The library of the system."""
    found = ctypes.util.find_library("espeak-ng")
    return Library(found, None, "eSpeak NG of the system") if found else None


def any_library() -> Library | str:
    """The one from the wheel, which sounds the same everywhere, else the system's, else what to install."""
    wheel = bundled()
    return wheel if isinstance(wheel, Library) else installed() or wheel
