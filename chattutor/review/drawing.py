"""A canvas of the plotting library, measured in points from its upper left corner, that becomes one ``<svg>``.

The library (matplotlib) is an extra and is loaded only where a picture is drawn. Text stays text, and whatever comes
from a log is plain text: nothing in it is taken for a formula.
"""

import logging
import re
from html import escape
from importlib.util import find_spec
from io import StringIO
from typing import Any, Literal, TypeAlias

Side: TypeAlias = Literal["left", "center", "right"]

INSTALL = "pip install 'chattutor[pictures]'"
INK, SOFT, LINE, BAND, BLUE = "#111111", "#444444", "#c4c4c4", "#f1f1f1", "#0b4a7f"
# each mark has a shape of its own: colour only helps
MARKERS: dict[str, dict[str, Any]] = {
    "independent": {"marker": "o", "markersize": 6.4, "markerfacecolor": BLUE},
    "prompted": {"marker": "o", "markersize": 6.4, "markerfacecolor": BLUE, "markerfacecoloralt": "white"},
    "shown": {"marker": "o", "markersize": 6.4, "markerfacecolor": "white"},
    "not yet": {"marker": "_", "markersize": 6.0},
    "not attempted": {"marker": ".", "markersize": 2.6},
}
DASH = "#9a3412"


def can_draw() -> bool:
    """Whether the plotting library is installed; it is not loaded for that."""
    return find_spec("matplotlib") is not None


class Canvas:
    """Draws on a sheet of this many points."""

    def __init__(self, wide: float, high: float) -> None:
        logging.getLogger("matplotlib").setLevel(logging.ERROR)  # its fonts and caches are no concern of a teacher
        from matplotlib.figure import Figure

        self.figure = Figure(figsize=(wide / 72, high / 72))
        self.axes = self.figure.add_axes((0, 0, 1, 1))
        self.axes.set_axis_off()
        self.axes.set_xlim(0, wide)
        self.axes.set_ylim(high, 0)
        self._marks: dict[str, tuple[list[float], list[float]]] = {}

    def text(
        self, x: float, y: float, words: object, size: float = 7.5, side: Side = "left", bold: bool = False
    ) -> None:
        """Words, their middle at this height."""
        plain = "".join(each if each.isprintable() else " " for each in str(words))
        self.axes.text(
            x, y, plain, fontsize=size, ha=side, va="center_baseline", color=INK, parse_math=False,
            fontweight="bold" if bold else "normal",
        )  # fmt: skip

    def mark(self, x: float, y: float, outcome: str) -> None:
        """The mark of how an equation went."""
        across, down = self._marks.setdefault(outcome, ([], []))
        across.append(x)
        down.append(y)

    def draw_marks(self) -> None:
        """Those of one outcome at once: of a whole school there are thousands."""
        for outcome, (across, down) in self._marks.items():
            colour = DASH if outcome == "not yet" else SOFT if outcome == "not attempted" else BLUE
            half: dict[str, Any] = {"fillstyle": "left"} if outcome == "prompted" else {}
            look: dict[str, Any] = MARKERS[outcome] | half
            self.axes.plot(across, down, linestyle="none", color=colour, markeredgewidth=1.1, **look)

    def bar(self, x: float, y: float, wide: float, high: float, colour: str = BLUE) -> None:
        """A filled rectangle, its upper left corner here."""
        from matplotlib.patches import Rectangle

        self.axes.add_patch(Rectangle((x, y), wide, high, facecolor=colour, edgecolor="none"))

    def line(self, x: float, y: float, to_x: float, to_y: float, colour: str = LINE) -> None:
        """A thin line."""
        self.axes.plot([x, to_x], [y, to_y], color=colour, linewidth=0.5, solid_capstyle="butt")

    def key(self, x: float, y: float) -> None:
        """What each mark means, in a row."""
        for outcome in MARKERS:
            self.mark(x, y, outcome)
            self.text(x + 7, y, outcome, 7)
            x += 18 + 3.9 * len(outcome)

    def svg(self, name: str, title: str, told: str) -> str:
        """The picture with its text alternative; ``name`` keeps its ids apart from those of other pictures."""
        import matplotlib
        from matplotlib.backends.backend_svg import FigureCanvasSVG

        self.draw_marks()
        out = StringIO()
        nothing = dict.fromkeys(("Date", "Creator", "Format", "Type"))
        with matplotlib.rc_context({"svg.fonttype": "none", "svg.hashsalt": name}):
            canvas: Any = FigureCanvasSVG(self.figure)
            canvas.print_svg(out, metadata=nothing)
        drawn = out.getvalue()
        drawn = re.sub(r"\A.*?(?=<svg )", "", drawn, flags=re.DOTALL)
        drawn = re.sub(r"<metadata>.*?</metadata>\s*", "", drawn, flags=re.DOTALL)
        drawn = re.sub(r'(\bid="|href="#|url\(#)', rf"\1{name}-", drawn)
        box = re.search(r'viewBox="[^"]*"', drawn)
        opening = (
            f'<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" class=picture '
            f'role="img" aria-labelledby="{name}-title {name}-told" {box[0] if box else ""} '
            f'style="width:{self.figure.get_figwidth():.3f}in"><title id="{name}-title">{escape(title)}</title>'
            f'<desc id="{name}-told">{escape(told)}</desc>'
        )
        return opening + re.sub(r"\A<svg [^>]*>", "", drawn).strip()
