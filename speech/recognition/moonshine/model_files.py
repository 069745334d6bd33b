"""Where the files of the network are. A package on the index carries them; nothing else of it is loaded or run.

The English weights lie in the wheels of moonshine-voice 0.0.48, 0.0.73 and 0.1.0, under the MIT licence (its own
METADATA and LICENSE, read on 29 November 2026); later wheels hold none. So the version is pinned and the files are
checked: another file under the same name would hear something else, or nothing.
"""

import hashlib
from functools import cache
from importlib.util import find_spec
from pathlib import Path

from speech.registry import Availability

CARRIER = "moonshine-voice==0.0.73"
ENCODER, DECODER, PIECES = "encoder_model.ort", "decoder_model_merged.ort", "tokenizer.bin"
SHA256 = {
    ENCODER: "94e90a4654fc45cdfedb77c4c08e1739f48862998e58fada384b25118134f221",
    DECODER: "cf524c4862d36e9e5ab032eddc73637efd822d70e868ac575cf1a46e1e4708a0",
    PIECES: "6884b35fd6377d4c4d32336a0bc152f36b64d1e45b6503683cdc238250a8472d",
}
INSTALL = f"pip install onnxruntime {CARRIER}"


def model_folder() -> Path | None:
    """The folder in the carrier package, whether whole or not; None where the package is not installed."""
    spec = find_spec("moonshine_voice")
    found = list(spec.submodule_search_locations or ()) if spec else []
    return Path(found[0]) / "assets" / "tiny-en" if found else None


def availability() -> Availability:
    """Whether the network can run here. Nothing is loaded."""
    folder = model_folder()
    if folder is None or find_spec("onnxruntime") is None:
        return Availability(False, f"its packages are not installed ({INSTALL}; there are none for some systems)")
    for name in SHA256:
        if not (folder / name).is_file():
            return Availability(False, f"this version of its package holds no {name} ({INSTALL})")
    return Availability(True, "its English model comes with its package")


@cache
def altered(folder: Path) -> str:
    """The first file that is not the one the figures were measured with; empty where all are. Takes 0.1 s, once."""
    for name, wanted in SHA256.items():
        with (folder / name).open("rb") as file:
            if hashlib.file_digest(file, "sha256").hexdigest() != wanted:
                return name
    return ""
