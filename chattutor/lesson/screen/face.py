"""The face of a lesson on a terminal, drawn with rich: board, balance, sentences; nothing by colour alone."""

from rich.console import Console
from rich.rule import Rule
from rich.text import Text

from chattutor.lesson.screen.balance import drawn
from chattutor.lesson.screen.board_rows import rows_of_board, text_rows
from dialogue.algebra.moves import Move
from dialogue.tutor.core.state import State, Turn

WIDEST = 72  # columns of a sentence on a wider terminal: short lines are easier to read (common practice, no source)
ON_BOARD = {"line"}  # replies that the board shows instead
WITHOUT_BOARD = {"scene tips", "scene level", "between", "done"}
BALANCE_PHASES = {"operations", "first", "move", "mend"}


class Screen:
    """Shows each turn below the last, so that the whole lesson can be scrolled back; ``large`` spaces it out."""

    def __init__(self, large: bool = False, console: Console | None = None) -> None:
        self._console = console or Console(highlight=False)
        self._large = large
        self._drawn: object = None

    @property
    def _width(self) -> int:
        return min(self._console.width, WIDEST)

    def notice(self, text: str, aloud: str | None = None) -> None:
        """Something that is not part of the lesson; nothing is said aloud here."""
        self._console.print(Text(text, style="dim"), width=self._width)

    def show(self, turn: Turn) -> None:
        """The board where it changed, then what the tutor says; the question stands last, and strongest."""
        sentences = [reply.text for reply in turn.replies if reply.key not in ON_BOARD]
        state = turn.state
        changed = self._picture_of(state) != self._drawn and state.phase not in WITHOUT_BOARD
        told, question = (sentences, []) if state.phase in {"between", "done"} else (sentences[:-1], sentences[-1:])
        self._say(told, "")
        if changed:
            self._drawn = self._picture_of(state)
            self._board(state)
        self._say(question, "bold")

    def _picture_of(self, state: State) -> object:
        return (state.place, state.board, state.pending, state.phase == "mend")

    def _say(self, sentences: list[str], style: str) -> None:
        for sentence in sentences:
            self._gap()
            self._console.print(Text(sentence, style=style), width=self._width)

    def _gap(self) -> None:
        if self._large:
            self._console.print()

    def _board(self, state: State) -> None:
        self._console.print()
        self._console.print(Rule(self._heading(state), align="left", style="dim", characters="─"), width=self._width)
        spacing = 1 if self._large else 0
        for line in text_rows(rows_of_board(state.board, state.pending), self._console.width, spacing):
            self._console.print(Text(line, style="bold" if "▸" in line else ""), no_wrap=True, crop=False)
        tilted = state.pending if state.phase == "mend" and isinstance(state.pending, Move) else None
        if state.phase in BALANCE_PHASES and (tilted or len(state.board) == 1):
            picture = drawn(state.equation, self._console.width, tilted)
            if picture:
                self._gap()
                self._console.print()
            for line in picture:
                faded = line.startswith("(")
                self._console.print(
                    Text(line, style="dim" if faded else ""),
                    no_wrap=not faded,
                    crop=False,
                    width=self._width if faded else None,
                )
        self._console.print()

    def _heading(self, state: State) -> Text:
        number, count = state.numbered
        return Text(f"equation {number} of {count}" if count else f"equation {number}", style="dim")
