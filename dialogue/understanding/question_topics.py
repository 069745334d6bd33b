"""What a question about a word, or a mood, is about; and a question or a mood that is plain from its words."""

import re
from functools import cache
from typing import NamedTuple, cast, get_args

from dialogue.acts import Act, Ask, Comment, Describe, Disclosure, Mood, PartMove, Refused, Term, Unclear, Value
from dialogue.algebra.moves import Move
from dialogue.understanding.grammar import read_data
from dialogue.understanding.normalise import in_lower_case

UNWANTED = "unwanted"  # the check, which the learner would rather not do
POINT = "point"  # "what's the point?" is asked as a why
TERM = re.compile(r"\b(?:what|whats|what's|meaning of)\b(?:\W+\w+){0,2}\W+\d[a-z]\b")  # "what does 7x mean?"
WHY = re.compile(r"\b(?:why|how come)\b")
SENTENCES = re.compile(r"[^.?!;]*(?:[.?!;](?!\s|$)[^.?!;]*)*(?:[.?!;]+\s*|$)")
FELT_BY_ONE = r"(?:lonely|sad|unhappy|tired|crying|gone|dead)"
OF_A_LETTER = re.compile(  # sad is the letter, and nobody
    r"\b(?:lonely|sad|poor|unhappy|tired)(?: little| old)? [b-hj-z]\b"
    rf"|\b(?:[b-hj-z]|equation|number|letter)(?: is|'s| was| must be| looks)?(?: so| all| very| a bit)? {FELT_BY_ONE}\b"
)
NOT_SO = re.compile(r"\b(?:not|isn't|isnt|aren't|wasn't|never)(?: even| really| that| so| at all)? $")
SHORT = {"#": r"\d+", "@": "[b-hj-z]", "...": r"(?:[\w']+\W+){0,6}?"}  # in a phrase of the tables

Table = tuple[tuple[str, re.Pattern[str]], ...]


@cache
def _table(name: str) -> Table:
    """Longest phrase first, so that "like terms" is found before "terms"."""
    rows = [(topic, phrase) for topic, phrases in read_data("topics")[name].items() for phrase in phrases]
    rows.sort(key=lambda row: -len(row[1]))
    return tuple((topic, re.compile(rf"(?<![\w'])(?:{as_pattern(phrase)})(?![\w'])")) for topic, phrase in rows)


def as_pattern(phrase: str) -> str:
    """A phrase of the tables as a regular expression."""
    parts = re.split(r"(\.\.\. |[#@])", phrase)
    return "".join(SHORT.get(part.strip(), re.escape(part)) for part in parts)


class Spotted(NamedTuple):
    """A row of a table, and where its phrase stands in the text."""

    topic: str
    start: int
    end: int


def found_in(name: str, text: str) -> Spotted | None:
    """The row of the longest phrase of a table that the text has."""
    said = in_lower_case(text)
    matches = ((topic, phrase.search(said)) for topic, phrase in _table(name))
    return next((Spotted(topic, match.start(), match.end()) for topic, match in matches if match), None)


def with_topic(act: Act, text: str) -> Act:
    """The act with the word or the question it asks about, or the mood it is; any other act as it is."""
    said = in_lower_case(text)
    asked = _asked_part(said, act)
    match act:
        case Ask(_, "") | Refused(Ask("check")) if _topic("unwanted", said):
            return Ask("check", UNWANTED)
        case Ask("meaning", ""):
            word = _topic("word", asked) or ("coefficient" if TERM.search(asked) else "")
            return Ask("meaning", _topic("question", asked) or word)
        case Ask("why", "") if _topic("word", asked) == POINT and not _topic("question", asked):
            return Ask("meaning", POINT)
        case Ask("why" | "check" | "progress" | "hint" as what, "") if about := _topic("question", asked):
            return Ask(what, about)
        case Comment("object" | "notice", None) if WHY.search(said) and (
            about := _topic("question", _asked_part(said, Ask("why")))
        ):
            return Ask("why", about)
        case Comment("object", None):
            mood = _topic("grumble", said)
            return Comment("object", cast(Mood, mood)) if mood in get_args(Mood) else act
        case Comment("goal" | "aside", None) if _topic("wish", said):
            return Ask("game")
        case Comment("feel", _) if is_of_no_person(said):
            return Comment("aside")
        case Comment("feel" | "aside", None):
            mood = _heavy(said) or (_topic("mood", said) if act.kind == "feel" else "")
            return Comment("feel", cast(Mood, mood)) if mood in get_args(Mood) else act
    return act


def _asked_part(said: str, act: Act) -> str:
    """The sentence that the question is in, from its "why" on where it is a why: what stands beside it is no part of
    what it is about. The whole where no sentence asks."""
    sentences = [match.group() for match in SENTENCES.finditer(said) if match.group().strip()]
    whys = [one[found.start() :] for one in sentences if (found := WHY.search(one))]
    if isinstance(act, Ask) and act.what == "why" and whys:
        after = whys[-1].strip(" ?!.")
        return whys[-1] if after != "why" else next(one for one in reversed(sentences) if WHY.search(one))
    asking = [one for one in sentences if "?" in one]
    return " ".join(asking) or said


def with_plain_question(acts: tuple[Act, ...], text: str) -> tuple[Act, ...]:
    """The acts, with a question that is plain from its words as that question, and not as the number or the move in it
    ("can it be a half?")."""
    about = _topic("plainly", in_lower_case(text))
    if not about or any(isinstance(act, Ask) and act.about == about for act in acts):
        return acts
    if acts and isinstance(acts[-1], Value | Move | PartMove | Describe | Term | Unclear | Ask):
        acts = acts[:-1]
    return (*acts, Ask("check", about))


def with_what_is_felt(acts: tuple[Act, ...], text: str) -> tuple[Act, ...]:
    """The acts, and sad news or a hurt feeling that was said beside them and is none of them."""
    said = in_lower_case(text)
    if any(isinstance(act, Disclosure) for act in acts):
        return acts
    mood, complaint = _heavy(said), _topic("unheard", said)
    wanted = [Comment("feel", cast(Mood, mood))] if mood else []
    wanted += [Comment("object", cast(Mood, complaint))] if complaint else []
    rest = tuple(act for act in acts if not (isinstance(act, Unclear) or (complaint and act == Comment("object"))))
    told = {act.about for act in rest if isinstance(act, Comment)}
    return (*rest, *(each for each in wanted if each.about not in told)) if wanted else acts


def is_of_no_person(text: str) -> bool:
    """Whether a feeling is told of the letter, or denied, and none is told of a person ("lonely n", "im not sad")."""
    said = in_lower_case(text)
    return not _heavy(said) and (OF_A_LETTER.search(said) is not None or _topic("heavy", said) != "")


def _heavy(said: str) -> str:
    said = OF_A_LETTER.sub(" ", said)
    found = found_in("heavy", said)
    mood = "" if found is None or NOT_SO.search(said[: found.start]) else found.topic
    return "loss of a pet" if mood == "loss" and _topic("pet", said) else mood


def _topic(name: str, said: str) -> str:
    found = found_in(name, said)
    return "" if found is None else found.topic
