"""The phases in their groups, as the rows of the state table name them."""

from dialogue.tutor.core.state import Phase

ASKING: tuple[Phase, ...] = ("operations", "first", "move", "part", "mend", "reconsider")
WORKING: tuple[Phase, ...] = ("left", "right", "line")
CHECKING: tuple[Phase, ...] = ("check left", "check right")
SOLVING: tuple[Phase, ...] = (*ASKING, *WORKING, *CHECKING)
OPEN: tuple[Phase, ...] = (*SOLVING, "count")
ASKED_BACK: tuple[Phase, ...] = (*OPEN, "account")
HOLDING: tuple[Phase, ...] = ("reason", "confirm", "offer stop")
TALKING: tuple[Phase, ...] = (*ASKED_BACK, *HOLDING)
SCENE: tuple[Phase, ...] = ("scene tips", "scene level")
ASIDE: tuple[Phase, ...] = ("spot", "compare")
EVERYWHERE: tuple[Phase, ...] = (*TALKING, *ASIDE, *SCENE, "paused")
