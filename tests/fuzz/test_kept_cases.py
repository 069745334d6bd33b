"""Inputs that fuzzing found, kept: each target runs its own, and the sound inputs it begins with, in the suite."""

from importlib import import_module
from pathlib import Path

import pytest
from harness import case, kept

HERE = Path(__file__).parent


@pytest.mark.parametrize("path", sorted(HERE.glob("*_cases.txt")), ids=lambda path: path.stem)
def test_kept_cases(path: Path) -> None:
    target = import_module(f"fuzz_{path.stem.removesuffix('_cases')}")
    for line in path.read_text("ascii").splitlines():
        assert kept(case(line)) == line
        target.one(case(line))


@pytest.mark.parametrize("name", sorted(path.stem for path in HERE.glob("fuzz_*.py")))
def test_sound_inputs(name: str) -> None:
    target = import_module(name)
    for seed in target.seeds():
        target.one(seed)
