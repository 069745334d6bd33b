"""What every target here shares: run one guided by coverage for a while, or run kept inputs again without instruments.

``nice -n 19 python tests/fuzz/fuzz_NAME.py -max_total_time=1800 CORPUS`` (``pip install atheris``) fuzzes; CORPUS is
made, and filled with sound inputs the first time. An exception does not end the run: the first input of each place it
comes from is written into CORPUS.found, and inputs of over 100 ms of processor time under instruments into
CORPUS.slow. ``python tests/fuzz/fuzz_NAME.py --again FILES`` runs inputs plainly and says how long the slowest took.
With ``TMPDIR=/dev/shm`` the targets that read files spare the disk. A case worth keeping goes into NAME_cases.txt as
``kept`` writes it; the suite runs those (test_kept_cases.py).
"""

import sys
import time
import traceback
from collections.abc import Callable, Iterable
from contextlib import AbstractContextManager, nullcontext
from hashlib import sha256
from pathlib import Path

LIMIT = 0.1  # seconds of processor time for one input
MOST_SLOW = 200  # inputs kept of a run
One = Callable[[bytes], None]


def instrumented(*packages: str) -> AbstractContextManager[None]:
    """Inside it what is imported of these packages is instrumented, where this file is run to fuzz."""
    if not Path(sys.argv[0]).name.startswith("fuzz_") or "--again" in sys.argv:
        return nullcontext()
    import atheris

    return atheris.instrument_imports(include=list(packages))


def kept(data: bytes) -> str:
    """An input as one line of text."""
    return data.decode("latin-1").encode("unicode_escape").decode()


def case(line: str) -> bytes:
    """The input of one such line."""
    return line.encode().decode("unicode_escape").encode("latin-1")


def run(one: One, seeds: Iterable[bytes], mutate: Callable[[bytes, int, int], bytes] | None = None) -> None:
    """Do what the command line asks. The sound inputs come first, unwatched: they load what is loaded once."""
    first = list(seeds)
    for seed in first:
        one(seed)
    if "--again" in sys.argv:
        again(one, map(Path, sys.argv[sys.argv.index("--again") + 1 :]))
        return
    import atheris

    folder = Path(sys.argv[-1])
    folder.mkdir(parents=True, exist_ok=True)
    for seed in first if not any(folder.iterdir()) else ():
        (folder / sha256(seed).hexdigest()[:16]).write_bytes(seed)
    more = {"custom_mutator": mutate} if mutate else {}
    atheris.Setup([*sys.argv[:-1], "-timeout=30", "-rss_limit_mb=1500", str(folder)], _watched(one, folder), **more)
    atheris.Fuzz()


def _watched(one: One, folder: Path) -> One:
    """The target, with what it finds written down beside the corpus."""
    found, slow = folder.with_name(f"{folder.name}.found"), folder.with_name(f"{folder.name}.slow")
    found.mkdir(exist_ok=True)
    slow.mkdir(exist_ok=True)
    places: set[tuple[str, str, int | None]] = set()
    slowest = 0.0

    def watched(data: bytes) -> None:
        nonlocal slowest
        began = time.thread_time()
        try:
            one(data)
        except Exception as error:  # a fuzzer's business: whatever it is, it is written down
            last = traceback.extract_tb(error.__traceback__)[-1]
            place = type(error).__name__, last.filename, last.lineno
            if place not in places:
                places.add(place)
                print("FOUND", *place, error, flush=True)
                (found / f"{type(error).__name__}-{Path(last.filename).stem}-{last.lineno}").write_bytes(data)
        took = time.thread_time() - began
        if took > LIMIT and len(list(slow.iterdir())) < MOST_SLOW:
            (slow / f"{took:.3f}-{sha256(data).hexdigest()[:16]}").write_bytes(data)
        if took > slowest:
            slowest = took
            print(f"SLOWEST under instruments {took:.3f} s", flush=True)

    return watched


def again(one: One, paths: Iterable[Path]) -> None:
    """Run each input; a line for each that takes too long or raises, and one with the slowest of all."""
    times = []
    for path in paths:
        data = path.read_bytes()
        began = time.thread_time()
        try:
            one(data)
        except Exception as error:  # the same
            print(path, type(error).__name__, error)
        times.append(time.thread_time() - began)
        if times[-1] > LIMIT:
            print(f"{path} took {times[-1]:.3f} s")
    print(f"{len(times)} inputs, the slowest {max(times, default=0):.3f} s")
