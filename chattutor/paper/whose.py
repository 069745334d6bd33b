"""Whose a piece of paper work is: a code or a name on a line of its own, with what else stands on such a line."""

import re

from chattutor.paper.question_text import is_instruction, without_markup
from chattutor.session_logs.learner_code import CODE

OPENING = re.compile(rf"({CODE.pattern})\s*:\s*(.*)")
NO_CODE = re.compile(
    r"check(?:ing|ed)?|test|ans|answers?|a|solution|sol|working|note|rough|scrap|jottings?|lhs|rhs|step\d*|lines?\d*|"
    r"q\d*[a-z]?|\d{1,2}|equation|question|problem|so|then|therefore|date|class|form|proof|result|solve|method|"
    r"redo(?:ne)?|corrections?|corrected|again|retry|attempt\d*|try\d*|extension|hint|tip|feedback|comment|first|second|next|"
    r"set|group|years?|yr|ex|exercise|lesson|sums?|total|average|no|nothing|mon|tues?|weds?|thurs?|fri|sat|sun|(.)\1{2,}|(?:p|pp|pg|ch|ex)\.?\d.*",
    re.IGNORECASE,
)
NAMED = re.compile(  # Name: Ada; NAME......Ada......... DATE 3/12
    r"(?:name|code|learner|pupil|student)\s*(?:[:=-]|[._…]{2,})\s*(.+?)(?:[\s._…]*(?:date|class|form)\b.*|[._…]{2,})?",
    re.IGNORECASE,
)
NUMBERED = re.compile(  # Student 14; Pupil 3 (Ada); Student B - 1/3
    r"((?:learner|pupil|student|candidate)\s+(?:no\.?\s*)?(?:\d{1,4}|[A-Z]))\.?"
    r"(?:\s*\(([A-Za-z][A-Za-z_'’.-]*(?: [A-Z][A-Za-z_'’.-]*)?)\))?:?(?:\s*[-–—:(]*\s*\d{1,3}\s*/\s*\d{1,3}\)?)?",
    re.IGNORECASE,
)
HEADER = re.compile(
    r"(?:date|class|form|teacher|subject|topic|title|set|score|marks?|totals?|results?)\s*:.*", re.IGNORECASE
)
NAME = re.compile(r"[A-Za-z][A-Za-z0-9_'’.-]*:?|[A-Z][A-Za-z_'’.-]*(?: [A-Z][A-Za-z0-9_'’.-]*){1,3}:?")
WITH_INITIAL = re.compile(r"[a-z]{3,} [a-z]\.?")  # tom h
SHORT_CODE = re.compile(r"[A-Z]{1,3}[-_]?\d{1,4}[a-z]?:?")
OF_NAME = re.compile(
    r"(?:['’]s\s+|\s+[-–—]\s+)(?:(?:home|class)?work|hw|answers?|paper|page|book|sheet|solutions?|resubmission|corrections?|draft|late)$",
    re.IGNORECASE,
)
AROUND = "*_\"“”'‘’«» "
BESIDE_NAME = re.compile(  # the class, the date and a remark on the line of the name: Mia, Y9 set 3
    r"""[\s,;|/–—-]+(?:\([^()=]*\)
          | (?:class|form|group|set)\s+\w{1,4} | (?:y|yr|year)\.?\s*\d{1,2}\s*[A-Za-z]?\d? | \d{1,2}\s?[A-Z]\d?
          | (?:w/?[ck]|wk|week\s+(?:beginning|commencing)|due)\.?:?\s+\d{1,2}
            (?:[/.-]\d{1,2}|(?:st|nd|rd|th)?\s+[A-Z][a-z]{2,8})
          | \d{1,2}[/.-]\d{1,2}(?:[/.-]\d{2,4})?
          | \d{1,2}(?:st|nd|rd|th)?\s+[A-Z][a-z]{2,8}\.?(?:\s+\d{4})?)\s*$""",
    re.IGNORECASE | re.VERBOSE,
)
TITLED = re.compile(r"(?:mr|mrs|ms|miss|dr|sir)\b.*", re.IGNORECASE)
ON_A_HEADING = re.compile(r"[A-Z][A-Za-z'’-]+(?: [A-Z][A-Za-z'’.-]*){0,2}|[A-Z][A-Z'’-]{2,}(?: [A-Z][A-Z'’-]+){0,2}")
OF_A_TABLE = frozenset({"Name", "Mark", "Score", "Class", "Date", "Working", "Question"})
IN_A_LIST = re.compile(r"(?:^|\s)\d{1,2}[).]\s")
BY = re.compile(  # Homework by Ada Byrne (late); typed by ada b.; (Peer marking: Ada's book)
    r".*\b(?i:work|homework|classwork|answers|solutions|paper|typed|written|done|worked)\s+(?:out\s+)?by\s+"
    r"([A-Z][A-Za-z'’-]+(?: [A-Z][A-Za-z'’.-]*)?|[a-z]{3,} [a-z]\.)(?:\s*\(.*)?"
    r"|.*\b([A-Z][a-z]+)['’]s\s+(?:book|work|paper|sheet|answers)\b.*"
)
OF_WHOM = re.compile(r"\b(?:for|by|with|to)\s+([A-Z][a-z]+)\b")  # in a cell beside a name: whose of the two is it?
LABELLED = re.compile(r"^[a-z][A-Za-z ,']*:\s+(?=[A-Z])")  # and by herself:  ADA
NO_PART_OF_A_NAME = re.compile(r"\b(?:for|of|and|the|in|on|to|with|from|by|or)\b", re.IGNORECASE)
SHORTENED = re.compile(r"[A-Za-z]{1,3}\.")  # Kl. 8c: a word cut short, no name
LABELS = frozenset({"name", "code", "learner", "pupil", "student", "candidate", "s"})
LONGEST = 300  # characters of a line with a name
RULES = "-=~*#–— "
ABOUT_WORK = re.compile(
    r"\b(?:solutions?|answers?|numbers?|sides?|add|subtract|divide|multiply|times|minus|plus|over|find|solve|simplify|expand|by|half|halve|double|due|homework|hw|maths?|"
    r"algebra|mathematics|test|assessment|practice|lesson|topic|brackets|fractions|decimals|work|good|great|excellent|"
    r"worksheet|exercise|revision|starter|classwork|equations?|quiz|unit|chapter|page|term|week|today|tomorrow|"
    r"(?:mon|tues|wednes|thurs|fri|satur|sun)day)\b",
    re.IGNORECASE,
)

MOVED = re.compile(  # words of somebody who tells what they did
    r"\b(?:add\w*|subtract\w*|divid\w*|multipl\w*|times|minus|plus|take|took|hal\w+|doubl\w*|both|sides?|check\w*|"
    r"so|then|because|is|was|equals|no|not|all|every|any|never|always|i|it|expand\w*|collect\w*|move\w*)\b",
    re.IGNORECASE,
)


def as_code(name: str) -> str:
    """A name as a code, its spaces and stops as hyphens: ``Ada B.`` is ``Ada-B``."""
    return re.sub(r"[^A-Za-z0-9_-]+", "-", name.strip()).strip("-")


def name_said(typed: str) -> str:
    """The name on a line that says it is one: ``Name: Ada B.``, ``Student 14``."""
    named = NAMED.fullmatch(typed)
    if named is not None and not is_instruction(typed):
        return re.split(r"\s{3,}|\t", named[1])[0]
    numbered = NUMBERED.fullmatch(typed)
    return (numbered[2] or numbered[1]) if numbered is not None else ""


def short_code(typed: str) -> str:
    """The code that a line is and nothing else, such as ``K4``."""
    alone = typed.rstrip(":. ")
    return alone if SHORT_CODE.fullmatch(typed) and not NO_CODE.fullmatch(alone) else ""


def name_alone(typed: str) -> str:
    """The name on a line that seems to hold one; with it may stand the class, the date and a remark in brackets."""
    if len(typed) > LONGEST:
        return ""
    text = OF_NAME.sub("", re.sub(r"^#+\s+", "", without_markup(typed)).strip(AROUND))
    for _ in range(3):
        text = BESIDE_NAME.sub("", text)
    alone = text.rstrip(":. ")
    is_name = NAME.fullmatch(text) is not None or WITH_INITIAL.fullmatch(text) is not None
    if is_about_work(alone) or NO_PART_OF_A_NAME.search(alone) or SHORTENED.fullmatch(text):
        return ""
    return alone if is_name and len(alone) > 1 - (text != typed) else ""


def name_on_heading(typed: str) -> str:
    """The one name among what else a heading says: ``CLASSWORK   7/10   ADA BYRNE``, ``--- Ada B. (absent) ---``."""
    text = typed.strip(RULES)
    if not 0 < len(text) <= LONGEST or "=" in text or HEADER.match(text) or IN_A_LIST.search(text):
        return ""
    said = BY.fullmatch(text)
    name = (said[1] or said[2]) if said is not None else ""
    if name and not TITLED.fullmatch(name) and not is_about_work(name):
        return name
    cells = [each.strip() for each in re.split(r"\s{3,}|\t|;", text) if each.strip()]
    if len(cells) < 2 and text == typed.strip() and not LABELLED.match(text):
        return ""
    cells = [LABELLED.sub("", each) for each in cells]
    names = [name for each in cells if (name := name_alone(each)) and ON_A_HEADING.fullmatch(name)]
    names = [name for name in names if name not in OF_A_TABLE and not NO_CODE.fullmatch(name.split()[0])]
    others = [each for each in cells if (found := OF_WHOM.search(each)) and found[1] not in names]
    return names[0] if len(names) == 1 and not others and not TITLED.fullmatch(names[0]) else ""


def says_more(typed: str, name: str) -> bool:
    """Whether a line with a name says more than that it is one: ``Name: Ada   Date: 3/11``, ``Bo (came late)``."""
    said = re.findall(r"\w+", typed.lower())
    return any(word not in LABELS and word not in re.findall(r"\w+", name.lower()) for word in said)


def is_full_name(typed: str) -> bool:
    """Whether a line is a name of two parts or more and nothing else."""
    name = name_alone(typed)
    return " " in name and ON_A_HEADING.fullmatch(name) is not None


def is_about_work(typed: str) -> bool:
    """Whether words at the start of a block are about the work rather than a name."""
    return NO_CODE.fullmatch(typed) is not None or ABOUT_WORK.search(typed) is not None


def is_heading(typed: str) -> bool:
    """Whether a line of words has nothing of a calculation in it: ``Ex 4.2``, ``Page 9``, ``Part two``."""
    words = re.search(r"[A-Za-z]{2,}", typed) is not None and NO_CODE.fullmatch(typed.rstrip(":. ")) is None
    return words and not re.search(r"[-+*/=×÷−√✓✔✗✘?!]", typed) and MOVED.search(typed) is None
