"""What every part of listening and speaking is made with."""

from importlib.util import find_spec

NEEDED = ("numpy", "miniaudio")


def missing_packages() -> list[str]:
    """The packages that are not installed; nothing is loaded."""
    return [name for name in NEEDED if find_spec(name) is None]
