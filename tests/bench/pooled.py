"""Laws checked over much invented work, in several processes: what they have counted, and what broke."""

import time
from collections import Counter
from collections.abc import Callable, Iterable
from multiprocessing import Pool
from typing import TypeVar

Work = TypeVar("Work")
SHOWN = 20  # of what broke


def pooled(
    check: Callable[[Work], tuple[Counter[str], list[str]]], work: Iterable[Work], processes: int
) -> tuple[Counter[str], list[str], float]:
    """What the check of each piece of work counted and found broken, together; and the seconds it took."""
    counts: Counter[str] = Counter()
    broken: list[str] = []
    began = time.perf_counter()
    with Pool(processes) as pool:
        for counted, found in pool.imap_unordered(check, work):
            counts += counted
            broken += found
    return counts, broken, time.perf_counter() - began


def told(name: str, broken: list[str]) -> int:
    """Print how many, and the first of them; the exit code."""
    print(f"{name}: {len(broken)}")
    for line in broken[:SHOWN]:
        print(line)
    return 1 if broken else 0
