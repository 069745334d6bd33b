"""What stands around an equation on a teacher's sheet, taken away: numbers, bullets, "Solve", marks, an answer.

Nothing is taken away in silence that could have been mathematics: ``doubts`` says what was taken for what.
"""

import re
from dataclasses import dataclass

LABELLED = re.compile(  # (ii); 5); Q3:; a bullet
    r"\W{0,3}(?:q\w*\W{0,2})?(?:\d{1,3}[a-z]?|[a-z]|[ivx]{1,4})\s?[.):]|\s*[\u2022\u2023\u25aa\u25e6]", re.IGNORECASE
)
NUMBER = r"\d{1,3}"
ITEM = re.compile(
    rf"""(?:(?:questions?|quest|qu?|ex|exercise|no|nr)\b\.?\s*{NUMBER}\s*[a-z]?\s*[.):\-]*\s+ # Question 3: ; Q3
          | q{NUMBER}[a-z]?(?:[.):]\s*|\s+)                        # Q3.
          | \({NUMBER}\)\s+ | \([a-z]\)\s+ | \([ivx]{{1,4}}\)\s+   # (3), (b), (iv)
          | (?:{NUMBER}\s*[a-z]?|[a-z]|[ivx]{{2,4}})(?:\.?\)\s*|\.\s+|:\s+) # 3) b. 3a) iv) 3.)
        )(?![-+*/=]\s)""",
    re.IGNORECASE | re.VERBOSE,
)
BULLET = re.compile(r"[•▪◦‣●○■□·*►▸➢✓✔]\s*(?=[\w(−-])|[-–—−]{1,2}\s+(?=[\w(−–-])|>\s+")
DASH = re.compile(r"[-–—−]{1,2}\s")
BULLET_OR_MINUS = "The dash at the start was taken for a bullet; for a minus sign leave no space after it."
ASKED = re.compile(
    r"""(?:(?:please|hence|now|then)\s+)?(?:solve|work\s+out|find|calculate|determine|equation(?=\s*:))\b
        (?:\s+(?:for|the|this|these|each|value|of|equations?|unknown|following|number|[a-z]\b(?!\s*[-+*/=(\d÷×·−–^])))*
        (?:\s+(?:if|when|where|given(?:\s+that)?|in))?\s*[:.,]?\s*""",
    re.IGNORECASE | re.VERBOSE,
)
HEADED = re.compile(
    r"(?:\d{1,2}\s+)?(?:challenge|extension|bonus|starter|example|warm[- ]?up)\b\s*[!:.–-]*\s+", re.IGNORECASE
)
MARKS = re.compile(
    r"\s*(?:\(\s*\d{1,2}\s*marks?\s*\)|\[\s*\d{1,2}\s*(?:marks?)?\s*\]|\b\d{1,2}\s*marks?)\s*$", re.IGNORECASE
)
BARE_MARKS = re.compile(r"\s+\((\d{1,2})\)\s*$")
GOES_ON = re.compile(r"\.\d+ *(?:\.\.+|…)\s*$")  # "0.333..." is no room for an answer
ROOM = re.compile(
    r"(?<=\S)\s{3,}[a-z]\s*=\s*$|\s+for\s+[a-z]\W*$|[\s,;]+[a-z]\s*=\s*[_.…?]+\s*$|\s*[_…]{2,}\s*$|[\s.;,?!□☐▢]+$",
    re.IGNORECASE,
)
ANSWER = re.compile(
    r"""(?:\s*[,;]?\s*[(\[]?\s*(?:answer|ans|solution)\b\s*[:=.]?\s*
         |\s*(?:=>|⇒|→|->|∴)\s*
         |\s*[,;]\s+(?=[a-z]\s*=) | \s*[(\[]\s*(?=[a-z]\s*=) | \s{3,}(?=[a-z]\s*=))
        (?:[a-z]\s*=\s*)?(?P<value>[-−]?\s*\d[\d./\s]*)[)\]]?\s*$""",
    re.IGNORECASE | re.VERBOSE,
)
QUOTES = "\"'“”‘’«» \t"
HARDER = re.compile(r"(?<=\w)\s+[*★]{1,3}$")  # how hard it is
CURRENCY = re.compile(r"[£$€]\s*(?=\d)")
FRACTION = re.compile(r"\\[dt]?frac\s*\{([^{}]*)\}\s*\{([^{}]*)\}")
SIGNS = ((r"\\times|\\cdot", "*"), (r"\\div", "/"), (r"\\left|\\right|\\[()\[\],;! ]", ""))
EMPHASIS = re.compile(r"\*\*(.+?)\*\*|`(.+?)`|\$+(.+?)\$+")


@dataclass(frozen=True, slots=True)
class QuestionText:
    """The equation as typed and nothing else; the answer that stood beside it, or empty; what was doubtful."""

    equation: str
    answer: str = ""
    doubts: tuple[str, ...] = ()


def question_text(typed: str) -> QuestionText:
    """The line without what stands around its equation."""
    text = CURRENCY.sub("", without_markup(HARDER.sub("", typed.strip(QUOTES))))
    doubts: list[str] = []
    if DASH.match(text):
        doubts.append(BULLET_OR_MINUS)
    if re.match(r"\(\d+\)\s+\(", text):
        doubts.append("The number in brackets at the start was taken for the question's number, not for a factor.")
    text = _front(text)
    text = MARKS.sub("", text)
    bare = BARE_MARKS.search(text)
    if bare is not None and "=" in text[: bare.start()]:
        doubts.append(f"The ({bare[1]}) at the end was taken for marks, not for a factor.")
        text = text[: bare.start()]
    if not GOES_ON.search(text):
        text = ROOM.sub("", ROOM.sub("", text))
    answer = ANSWER.search(text)
    if answer is not None and "=" in text[: answer.start()]:
        before = MARKS.sub("", text[: answer.start()])  # 6x + 5 = 29   [2]   ans 4
        return QuestionText(before.strip(), answer["value"].strip(), tuple(doubts))
    return QuestionText(text.strip(), "", tuple(doubts))


def is_instruction(typed: str) -> bool:
    """Whether a line without an equation only says what to do, or leaves room for a name or a date."""
    text = _front(without_markup(typed.strip()), asked=False)
    blank = re.fullmatch(r"(?:\W*(?:name|class|date|form|set|score|teacher)\b[\s:]*[_.…\s]*)+", text, re.IGNORECASE)
    rule = re.fullmatch(r"[-_=~*.\s]{3,}", text)
    return "=" not in text.strip("=") and bool(ASKED.match(text) or blank or rule)


def says_solve(typed: str) -> bool:
    """Whether "Solve" stands before what is asked."""
    return re.match(r"solve\b", _front(typed.strip(), asked=False), re.IGNORECASE) is not None


def says_asked(typed: str) -> bool:
    """Whether a number, a letter, a bullet or "Solve" stands before what is asked."""
    return says_solve(typed) or LABELLED.match(typed) is not None


def without_markup(text: str) -> str:
    """Without the signs of a word-processor's or a typesetter's notation."""
    if "\\" not in text and "$" not in text and "**" not in text and "`" not in text:
        return text
    while FRACTION.search(text):
        text = FRACTION.sub(r"((\1)/(\2))", text)
    for pattern, sign in SIGNS:
        text = re.sub(pattern, sign, text)
    return EMPHASIS.sub(lambda match: next(filter(None, match.groups()), ""), text)


def _front(text: str, asked: bool = True) -> str:
    """Without bullet, number and "Solve", in whatever order, each at most a few times."""
    for _ in range(4):
        for pattern in (BULLET, ITEM, HEADED, ASKED) if asked else (BULLET, ITEM, HEADED):
            match = pattern.match(text)
            if match is not None and match.end() < len(text):
                text = text[match.end() :]
                break
        else:
            return text
    return text
