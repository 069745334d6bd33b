"""Giving memory back to the system."""

import ctypes
import sys
from functools import lru_cache
from typing import Any


@lru_cache(maxsize=1)
def _trim() -> Any:
    """The C library's own function for it, where it is glibc; malloc_trim(3)."""
    return getattr(ctypes.CDLL(None), "malloc_trim", None) if sys.platform == "linux" else None


def give_back() -> None:
    """Give back what was freed. glibc keeps it for later: some 100 MB beside a network. Takes milliseconds; does
    nothing with other C libraries."""
    trim = _trim()
    if trim is not None:
        trim(0)
