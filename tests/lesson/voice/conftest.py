"""What the tests by voice share: a sound server, recorded voices, and what can be heard, built once a machine."""

import fcntl
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from virtual_microphone import VirtualMicrophone, lacking, virtual_microphone

from chattutor.lesson.voice.language_builder import main, wanted


@pytest.fixture(scope="session")
def room() -> Iterator[VirtualMicrophone]:
    """One sound server for all of them."""
    absent = lacking() or (None if shutil.which("flite") else "not installed: flite (apt-get install flite)")
    if absent:
        pytest.skip(absent)
    with virtual_microphone() as running:
        yield running


@pytest.fixture(scope="session")
def cache(pytestconfig: pytest.Config) -> Path:
    """A cache folder with every language, kept from one run of the tests to the next."""
    folder = pytestconfig.cache.mkdir("what-can-be-heard")
    with (folder / "lock").open("w") as lock:  # one worker builds, the others wait
        fcntl.flock(lock, fcntl.LOCK_EX)
        main(folder / "chattutor", wanted())
    return Path(folder)
