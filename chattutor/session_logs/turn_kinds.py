"""What the events of a turn are, for whoever reads a log: every kind that the tutor has is named here, once."""

from typing import Literal, TypeAlias, assert_never

from dialogue.tutor.core.events import KINDS, EventKind

TurnKind: TypeAlias = Literal["step", "answer", "question", "command", "talk", "unsure", "to tell", "silence"]


def kind_of(event: str) -> TurnKind:
    """A step (a move, a line, a verdict), an answer to a question of the tutor's, a question to the tutor, a command
    about the lesson, talk, words that stayed unsure, something to tell an adult, or silence. An event of another
    version is talk; work marked from paper is steps."""
    if event == "paper":
        return "step"
    return _kind(event) if event in KINDS else "talk"


def _kind(event: EventKind) -> TurnKind:
    match event:
        case "move closer" | "move level" | "move one side" | "move other side" | "move by zero" | "move by unknown":
            return "step"
        case "move further" | "move again" | "move part" | "claim false":
            return "step"
        case "move divides by zero" | "move names nothing" | "rewrite closer" | "rewrite idle":
            return "step"
        case "line closer" | "line level" | "line same" | "line ends" | "line broken" | "line elsewhere" | "answer":
            return "step"
        case "left wrong" | "right wrong" | "both wrong":
            return "step"
        case "line kept" | "value right" | "value wrong" | "value unworked" | "value of other side" | "value unasked":
            return "answer"
        case "verdict right" | "verdict wrong" | "verdict early":
            return "answer"
        case "described unordered" | "values right" | "values wrong":
            return "answer"
        case "described" | "described part" | "described wrong" | "term named" | "term unknown" | "account":
            return "answer"
        case "slip found" | "slip missed" | "scene right" | "scene back" | "scene wrong":
            return "answer"
        case "hint" | "repeat" | "why" | "check" | "example" | "progress" | "wording" | "slower" | "game" | "stuck":
            return "question"
        case "meaning" | "tell me":
            return "question"
        case "undo" | "skip" | "stop" | "pause" | "restart" | "easier" | "harder" | "lead" | "leave":
            return "command"
        case "sum right" | "sum wrong" | "refused":
            return "talk"
        case "comment" | "yes" | "no" | "to explain":
            return "talk"
        case "unclear" | "doubtful" | "unsure" | "narrow" | "unheard":
            return "unsure"
        case "distress":
            return "to tell"
        case "silence":
            return "silence"
        case _:
            assert_never(event)


def is_right(event: str) -> bool | None:
    """Whether an answer to a question of the tutor's was right; None for what is neither."""
    if event in {
        "value right", "value unworked", "values right", "line kept", "described", "described part", "term named",
        "verdict right", "scene right", "slip found",
    }:  # fmt: skip
        return True
    wrong = {"value wrong", "values wrong", "described wrong", "term unknown", "verdict wrong", "scene wrong"}
    return False if event in wrong | {"slip missed"} else None
