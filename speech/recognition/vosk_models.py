"""Finding a vosk model on this machine. Nothing is ever downloaded here, and vosk is never given a mere name:
it would look for that on the network, and end the process when it does not know it."""

from collections.abc import Iterable, Mapping
from pathlib import Path

from speech.errors import ModelMissing

VARIABLE = "CHATTUTOR_VOSK_MODEL"  # names a model folder
STANDARD = (".cache/vosk", "AppData/Local/vosk", ".local/share/vosk", "Library/Application Support/vosk")
SYSTEM = ("/usr/share/vosk", "/usr/local/share/vosk")
ENGLISH = "vosk-model*-en-*"  # the names the models are published under
SMALL_MODEL = "vosk-model-small-en-us-0.15"
ADVICE = (
    f"download {SMALL_MODEL}.zip (40 MB) from https://alphacephei.com/vosk/models, unpack it, and put the folder"
    f" into {{folder}} or name it in the environment variable {VARIABLE}"
)
NEEDED = ("am/final.mdl", "conf/mfcc.conf")
GRAPHS = (("graph/HCLr.fst", "graph/Gr.fst"), ("graph/HCLG.fst", "graph/words.txt"))
SPEAKER_ADAPTATION = ("final.ie", "final.dubm", "final.mat", "global_cmvn.stats", "online_cmvn.conf", "splice.conf")


def missing_files(folder: Path) -> list[str]:
    """What a model folder lacks (a copy broken off leaves files out or empty); nothing when it is whole."""
    lacking = [name for name in NEEDED if not _whole(folder / name)]
    if not any(all(_whole(folder / name) for name in graph) for graph in GRAPHS):
        lacking.append(" and ".join(GRAPHS[0]))
    if (folder / "ivector").exists():
        lacking += [f"ivector/{name}" for name in SPEAKER_ADAPTATION if not _whole(folder / "ivector" / name)]
    return lacking


def _whole(path: Path) -> bool:
    try:
        return path.stat().st_size > 0
    except OSError:
        return False


def takes_grammar(folder: Path) -> bool:
    """Whether the model can be limited to a language while it runs; large static models cannot."""
    return _whole(folder / GRAPHS[0][0]) and _whole(folder / GRAPHS[0][1])


def standard_folders(home: Path | None = None) -> tuple[Path, ...]:
    """The folders searched for models, in order."""
    base = home or Path.home()
    return (*(base / one for one in STANDARD), *(Path(one) for one in SYSTEM))


def find_model(
    asked: Path | None = None,
    environment: Mapping[str, str] | None = None,
    folders: Iterable[Path] | None = None,
) -> Path:
    """The model folder: the one asked for, else the one the environment names, else the first English one found.

    Raises `ModelMissing` when there is none (telling where to get and put one) or when it is not whole. A model
    asked for by name is never replaced by another.
    """
    named = (environment or {}).get(VARIABLE, "").strip()
    places = standard_folders() if folders is None else tuple(folders)
    if asked is not None or named:
        return _checked(asked if asked is not None else Path(named).expanduser())
    found = [one for place in places if place.is_dir() for one in sorted(place.glob(ENGLISH)) if one.is_dir()]
    for one in found:
        if not missing_files(one):
            return one
    if found:
        return _checked(found[0])
    advice = ADVICE.format(folder=places[0] if places else "a folder")
    raise ModelMissing(f"no English vosk model is on this machine: {advice}")


def _checked(folder: Path) -> Path:
    if not folder.is_dir():
        raise ModelMissing(f"there is no vosk model folder {folder}: check the path")
    lacking = missing_files(folder)
    if lacking:
        raise ModelMissing(f"the vosk model {folder} is incomplete ({lacking[0]} is missing or empty): copy it again")
    return folder
