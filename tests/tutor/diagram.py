"""The state table as a mermaid diagram: the phases in their groups, and every way from one to another.

Events that leave a question standing are not drawn; where a row may lead to the question that a line needs next, or
back to the phase that was left, one arrow says so."""

from collections import defaultdict

from talking import PHASES

from dialogue.tutor.core.state import CHECKING, HOLDING, SCENE, WORKING
from dialogue.tutor.table import BACK, DEFAULTS, FIRST, TABLE, Row

GROUPS: dict[str, tuple[str, ...]] = {
    "Asking": ("operations", "first", "move", "mend", "reconsider"),
    "Working": WORKING,
    "Checking": CHECKING,
    "Holding": (*HOLDING, "paused"),
    "Scene": SCENE,
}
NEXT, LEFT = "next question", "phase left"
MOST = 4  # kinds of event named on one arrow


def mermaid() -> str:
    """The diagram's text, the same each time."""
    lines = ["stateDiagram-v2", f"    [*] --> {_name('next question')}"]
    lines += [f'    state "{name}" as {_name(name)}' for name in (*PHASES, NEXT, LEFT)]
    for group, members in GROUPS.items():
        lines += [f"    state {group} {{", *(f"        {_name(member)}" for member in members), "    }"]
    lines += [f"    {start} --> {end}: {_label(kinds)}" for (start, end), kinds in sorted(_arrows().items())]
    lines += [f"    {_name(NEXT)} --> {one}" for one in ("Asking", "Working", "Checking", "count")]
    return "\n".join([*lines, "    done --> [*]"])


def _arrows() -> dict[tuple[str, str], list[str]]:
    """Arrows between phases; one that leaves every phase of a group is drawn once, from the group."""
    found: dict[tuple[str, str], dict[str, list[str]]] = defaultdict(lambda: defaultdict(list))
    rows: list[tuple[str, str, Row]] = [(phase, kind, row) for (phase, kind), row in TABLE.items()]
    rows += [(phase, "anything else", row) for phase, row in DEFAULTS.items()]
    for phase, kind, row in rows:
        for end in _ends(row):
            if end != phase:
                found[_group(phase), _name(end)][kind].append(phase)
    arrows: dict[tuple[str, str], list[str]] = defaultdict(list)
    for (group, end), kinds in found.items():
        for kind, phases in kinds.items():
            if set(phases) == set(GROUPS.get(group, ())):
                arrows[group, end].append(kind)
            else:
                for phase in phases:
                    arrows[_name(phase), end].append(kind)
    return arrows


def _ends(row: Row) -> list[str]:
    """Where a row leads, those ends that are many taken as one."""
    if set(BACK) <= set(row.next):
        return [LEFT]
    if set(FIRST) <= set(row.next):
        return [NEXT, *(phase for phase in row.next if phase not in {*FIRST, *WORKING, "done", "between"})]
    return list(dict.fromkeys(row.next))


def _group(phase: str) -> str:
    return next((group for group, members in GROUPS.items() if phase in members), phase)


def _name(phase: str) -> str:
    return phase.replace(" ", "_")


def _label(kinds: list[str]) -> str:
    more = f" and {len(kinds) - MOST} more" if len(kinds) > MOST else ""
    return ", ".join(kinds[:MOST]) + more
