"""Mutation testing: every small change to the code that no test notices.

    nice -n 15 python tests/mutants/mutants.py WORK 'dialogue/algebra/*.py' -- tests/algebra

mutmut (``pip install mutmut``) writes the mutants into a copy of what is committed in the new folder WORK; the tests
are collected once, and for each mutant a forked process runs those that reach its function, quickest and deadliest
first, until one fails. Few examples of each property are drawn, the same each time (``EXAMPLES``). Results are lines
of JSON in WORK/results.jsonl; a second call goes on where the first was ended. ``--sample N`` takes so many at
random, others with another ``--seed``. ``--table`` spoils the rows of the tutor's state table too, which mutmut,
changing functions alone, leaves as they are. ``--show WORK`` sums up and prints the survivors as differences.
"""

import argparse
import gc
import json
import os
import random
import resource
import signal
import subprocess
import sys
import time
from collections import defaultdict
from collections.abc import Callable, Iterator
from difflib import unified_diff
from functools import _lru_cache_wrapper
from pathlib import Path

import pytest
from _pytest.runner import runtestprotocol
from hypothesis import HealthCheck, settings
from mutmut.mutation import trampoline
from mutmut.mutation.file_mutation import mutate_file_contents

ROOT = Path(__file__).parents[2]
EXAMPLES = 10
INSIDE = "_hypothesis_internal_use_settings"  # where hypothesis keeps the settings of a test; it has no public way in
SECONDS = 10  # of processor time for one test; a mutant that takes longer runs without end
MEMORY = 6 << 30  # bytes
KILLED, SURVIVED, ENDLESS = 1, 0, 2
NAMES = {KILLED: "killed", SURVIVED: "survived", ENDLESS: "killed: without end"}


def copy_of_the_tree(work: Path, patterns: list[str]) -> dict[str, str]:
    """Copy what is committed and write mutants into the files that match; each mutant's name and its function's."""
    tree = subprocess.run(["git", "archive", "HEAD"], cwd=ROOT, capture_output=True, check=True).stdout
    subprocess.run(["tar", "-C", work, "-xf", "-"], input=tree, check=True)
    found: dict[str, str] = {}
    os.chdir(work)
    Path("setup.cfg").write_text("[mutmut]\nsource_paths = dialogue\n")  # mutmut wants to be told, and does not use it
    for path in sorted({path for pattern in patterns for path in Path().glob(pattern)}):
        mutated = mutate_file_contents(str(path), path.read_text("utf-8"))
        path.write_text(mutated.code, "utf-8")
        module = ".".join(path.with_suffix("").parts)
        for name in mutated.mutant_names:
            found[f"{module}.{name}"] = f"{module}.{name.rpartition('__mutmut_')[0]}"
    Path("mutants.json").write_text(json.dumps(found))
    return found


class NoStack:
    """In place of mutmut's record of who calls whom, which is not used here and takes long."""

    get = staticmethod(lambda: (None, 0))
    set = reset = staticmethod(lambda _: None)


class Mutants:
    """The pytest plugin that takes the place of pytest's own loop over the tests."""

    def __init__(self, mutants: dict[str, str], sample: int, seed: int, table: bool) -> None:
        self.mutants, self.sample, self.seed, self.table = mutants, sample, seed, table
        self.reached: dict[str, set[str]] = defaultdict(set)
        self.behind_caches: set[str] = set()  # what builds what is kept
        self.took: dict[str, float] = {}
        self.kills: dict[str, int] = defaultdict(int)
        self.caches: list[_lru_cache_wrapper] = []  # type: ignore[type-arg]
        self.results = Path("results.jsonl").absolute()

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        """Few examples."""
        for item in items:
            function = getattr(item, "obj", None)
            if (usual := getattr(function, INSIDE, None)) is not None:
                few = settings(usual, max_examples=min(usual.max_examples, EXAMPLES), derandomize=True, database=None)
                few = settings(few, deadline=None, suppress_health_check=list(HealthCheck))  # a busy machine kills none
                setattr(getattr(function, "__func__", function), INSIDE, few)

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """First every test without a mutant, to see what it reaches; then the mutants."""
        if session.testsfailed:
            raise session.Interrupted("the tests cannot be collected")
        items = {item.nodeid: item for item in session.items}
        for name, item in items.items():
            self._measure(name, item)
        self.caches = [each for each in gc.get_objects() if isinstance(each, _lru_cache_wrapper) and _ours(each)]
        slowest_first = sorted(items, key=lambda name: -self.took[name])
        for name in {name.partition("[")[0]: name for name in slowest_first}.values():
            self._look_behind_caches(items[name])
        done = {json.loads(line)["mutant"] for line in self.results.open()} if self.results.exists() else set()
        spoiled = dict(_rows()) if self.table else {}
        named = [*self.mutants, *spoiled]
        random.Random(self.seed).shuffle(named)  # so that a run broken off is a fair sample
        named = [name for name in named[: self.sample or None] if name not in done]
        gc.freeze()
        with self.results.open("a") as out:
            for name in named:
                tests = self._tests(self.mutants.get(name, name), list(items))
                began = time.monotonic()
                result, by = self._try(name, spoiled.get(name), [items[test] for test in tests])
                took = round(time.monotonic() - began, 2)
                out.write(json.dumps({"mutant": name, "result": result, "by": by, "seconds": took}) + "\n")
                out.flush()
        return True

    def _measure(self, name: str, item: pytest.Item) -> None:
        def note(function: str, caller: str | None = None) -> None:
            self.reached[function].add(name)

        trampoline.record_trampoline_hit, trampoline.MutmutCallStack = note, NoStack
        trampoline.get_mutant_under_test = lambda: "stats"
        began = time.process_time()
        if any(report.failed for report in runtestprotocol(item, log=False, nextitem=None)):
            raise pytest.UsageError(f"{name} fails without any mutant")
        self.took[name] = time.process_time() - began

    def _look_behind_caches(self, item: pytest.Item) -> None:
        """What a test reaches the first time alone: such functions count as reached by every test."""
        runs: list[set[str]] = [set(), set()]
        for cached in self.caches:
            cached.cache_clear()
        for run in runs:
            trampoline.record_trampoline_hit = lambda function, caller=None, run=run: run.add(function)
            runtestprotocol(item, log=False, nextitem=None)
        self.behind_caches |= runs[0] - runs[1]

    def _tests(self, function: str, everything: list[str]) -> list[str]:
        every = function.startswith("row ") or function in self.behind_caches
        reaching = everything if every else self.reached.get(function, ())
        return sorted(reaching, key=lambda test: (-self.kills[test], self.took[test]))

    def _try(self, name: str, spoil: Callable[[], None] | None, items: list[pytest.Item]) -> tuple[str, str]:
        """Run the tests in a process of its own."""
        if not items:
            return "no tests", ""
        read, write = os.pipe()
        child = os.fork()
        if not child:
            for cached in self.caches:  # filled without the mutant
                cached.cache_clear()
            os._exit(_in_child(name, spoil, items, write))
        os.close(write)
        with open(read, "rb") as source:
            by = source.read().decode()
        code = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
        if by:
            self.kills[by] += 1
        return NAMES.get(code, "killed: process ended"), by


def _ours(cached: object) -> bool:
    return str(cached.__module__).startswith("dialogue.")


def _in_child(name: str, spoil: Callable[[], None] | None, items: list[pytest.Item], write: int) -> int:
    quiet = os.open(os.devnull, os.O_WRONLY)
    os.dup2(quiet, 1)
    os.dup2(quiet, 2)
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    current = ""

    def endless(*_: object) -> None:
        os.write(write, current.encode())
        os._exit(ENDLESS)

    signal.signal(signal.SIGPROF, endless)
    trampoline.get_mutant_under_test = lambda: name
    if spoil is not None:
        spoil()
    for item in items:
        current = item.nodeid
        signal.setitimer(signal.ITIMER_PROF, SECONDS)
        if any(report.failed for report in runtestprotocol(item, log=False, nextitem=None)):
            os.write(write, current.encode())
            return KILLED
    return SURVIVED


def _rows() -> Iterator[tuple[str, Callable[[], None]]]:
    """Each row of the state table taken out, and with another effect."""
    from dialogue.tutor.moves.talking import ask_again, nothing
    from dialogue.tutor.table import DEFAULTS, RULES, TABLE, Row

    def spoiler(pairs: list[tuple[str, str]], row: Row | None) -> Callable[[], None]:
        def spoil() -> None:
            for pair in pairs:
                TABLE.pop(pair, None) if row is None else TABLE.__setitem__(pair, row)  # type: ignore[call-overload]

        return spoil

    for phases, kinds, row in RULES:
        pairs = [(phase, kind) for phase in phases for kind in kinds]
        where = f"{'|'.join(phases)} / {'|'.join(kinds)}"
        yield f"row {where}: taken out", spoiler(pairs, None)
        other = nothing if row.effect is ask_again else ask_again
        name = getattr(row.effect, "__name__", "effect")
        yield f"row {where}: {name} becomes {other.__name__}", spoiler(pairs, row._replace(effect=other))
        for pair in pairs if len(pairs) > 1 else ():
            yield f"row {pair[0]} / {pair[1]}: alone taken out", spoiler([pair], None)
    for phase in list(DEFAULTS):

        def spoil(phase: str = phase) -> None:
            del DEFAULTS[phase]  # type: ignore[arg-type]

        yield f"row {phase} / anything else: taken out", spoil


def show(work: Path) -> None:
    """The sum, by file, and each survivor as a difference."""
    results = [json.loads(line) for line in (work / "results.jsonl").open()]
    sums: dict[str, dict[str, int]] = defaultdict(lambda: defaultdict(int))
    for each in results:
        module = "rows" if each["mutant"].startswith("row ") else each["mutant"].rpartition(".")[0]
        for key in (module, "in all"):
            sums[key][each["result"].partition(":")[0]] += 1
    for each in results:
        if each["result"] in {"survived", "no tests"}:
            print(f"\n{each['result']}: {each['mutant']}")
            if not each["mutant"].startswith("row "):
                print("\n".join(_difference(work, each["mutant"])))
    for key, sum_ in sums.items():
        print(f"{key}: {dict(sum_)}, killed {sum_['killed'] / sum(sum_.values()):.1%}")


def _difference(work: Path, mutant: str) -> Iterator[str]:
    import ast

    module, _, name = mutant.rpartition(".")
    source = (work / Path(*module.split("."))).with_suffix(".py").read_text("utf-8")
    found = {node.name: node for node in ast.walk(ast.parse(source)) if isinstance(node, ast.FunctionDef)}
    original = found[f"{name.rpartition('__mutmut_')[0]}__mutmut_orig"]
    both = [ast.unparse(node).splitlines()[1:] for node in (original, found[name])]
    changes = list(unified_diff(*both, n=1, lineterm=""))[3:]
    yield from (line for line in changes if not line.startswith("@@"))


def main() -> None:
    """Do what the command line asks."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("work", type=Path)
    parser.add_argument("files", nargs="*")
    parser.add_argument("--show", action="store_true")
    parser.add_argument("--sample", type=int, default=0)
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--table", action="store_true")
    words = sys.argv[1:]
    at = words.index("--") if "--" in words else len(words)
    args, tests = parser.parse_args(words[:at]), words[at + 1 :]
    if args.show:
        show(args.work)
        return
    args.work.mkdir(parents=True, exist_ok=True)
    before = args.work / "mutants.json"
    mutants = json.loads(before.read_text()) if before.exists() else copy_of_the_tree(args.work.absolute(), args.files)
    os.chdir(args.work)
    sys.path.insert(0, os.getcwd())
    plain = ["-q", "-p", "no:cacheprovider", "-p", "no:timeout", "-o", "addopts="]
    sys.exit(pytest.main([*plain, *tests], plugins=[Mutants(mutants, args.sample, args.seed, args.table)]))


if __name__ == "__main__":
    main()
