"""How much one visitor may ask for: a bucket that fills steadily and lets a burst through."""

import time
from collections import OrderedDict
from collections.abc import Callable

MOST_KEPT = 1_000  # buckets; the one longest unused is dropped


class Rates:
    """``burst`` at once, ``rate`` a second after that, for each name."""

    def __init__(self, burst: float, rate: float, clock: Callable[[], float] = time.monotonic) -> None:
        self._burst, self._rate, self._clock = burst, rate, clock
        self._buckets: OrderedDict[str, tuple[float, float]] = OrderedDict()

    def allow(self, name: str, cost: float = 1.0) -> bool:
        """Whether one more fits, which is then counted."""
        now = self._clock()
        left, since = self._buckets.pop(name, (self._burst, now))
        left = min(self._burst, left + (now - since) * self._rate)
        allowed = left >= cost
        self._buckets[name] = (left - cost if allowed else left, now)
        while len(self._buckets) > MOST_KEPT:
            self._buckets.popitem(last=False)
        return allowed
