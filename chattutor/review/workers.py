"""Work on every processor: the processes are started once, and only where there is enough to do."""

import os
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from types import TracebackType
from typing import TypeVar

MOST = 8  # processes
Input = TypeVar("Input")
Output = TypeVar("Output")


def processors() -> int:
    """How many processes may work at once."""
    able = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    return min(able, MOST)


class Workers:
    """Processes to hand parts of a list to; they end with the ``with`` block."""

    def __init__(self) -> None:
        self._pool: ProcessPoolExecutor | None = None

    def __enter__(self) -> "Workers":
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        if self._pool is not None:
            self._pool.shutdown(cancel_futures=True)

    def each(
        self, work: Callable[[Sequence[Input]], list[Output]], given: Sequence[Input], at_a_time: int, worth: int
    ) -> Iterator[Output]:
        """What ``work`` makes of each, in order, ``at_a_time`` handed over at once; with fewer than ``worth`` it is
        done here, since starting processes takes longer."""
        parts = [given[at : at + at_a_time] for at in range(0, len(given), at_a_time)]
        if len(given) < worth or processors() == 1:
            for part in parts:
                yield from work(part)
            return
        if self._pool is None:
            self._pool = ProcessPoolExecutor(processors())
        for done in self._pool.map(work, parts):
            yield from done
