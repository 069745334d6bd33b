"""The tutor's manner: short, the question last, plain words, no flattery; every wording used and none missing."""

import ast
import re
import string
from pathlib import Path

import textstat
from talking import PHASES, Talk, respond

import dialogue.tutor
from chattutor.session_logs.saved import plan_of, plan_record
from dialogue.acts import Control
from dialogue.algebra.equation import read_equation
from dialogue.algebra.misconceptions.catalogue import error_table
from dialogue.algebra.moves import Rewrite
from dialogue.tutor.core.mistakes import NO_MODEL
from dialogue.tutor.core.state import Plan, Task, Utterance
from dialogue.tutor.session import begin
from dialogue.verbalising.replies import phrases, word, wordings
from dialogue.verbalising.sayings import Saying

# rule 25 of the trade: two sentences a turn, about twelve words each (from memory, no source); a filled place is
# counted as three words, and "about" as one word more
MOST_SENTENCES, MOST_WORDS, PLACE = 2, 13, 3
READING_AGE = 11  # years: a United States school grade is about five years less than the age
# common practice, no source: words that make a learner who did not find it so feel slow, or flatter
BANNED = ("easy", "easily", "simple", "simply", "just", "obviously", "obvious", "clever", "smart", "brilliant",
          "genius", "fast", "quick", "quickly", "speed", "silly", "stupid", "wow", "duh", "surely", "of course",
          "trivial", "even you", "finally", "should know", "wrong", "bad", "fail", "failed", "mistake", "perfect",
          "amazing")  # fmt: skip
EVERYTHING = [(key, variant) for key, variants in wordings().items() for variant in variants] + [
    (error, question) for error, entry in error_table().items() for question in entry.ask
]
ROOT = Path(dialogue.tutor.__file__).parent


def sentences(text: str) -> list[str]:
    """The sentences of a wording."""
    return [part for part in re.split(r"(?<=[.?!])\s+", text) if part]


def words(sentence: str) -> int:
    """Words, a place for an equation, move or number counted as three."""
    return len(re.sub(r"\{\w+\}", "a b c", sentence).split())


def test_a_wording_is_short_and_asks_last() -> None:
    for key, text in EVERYTHING:
        parts = sentences(text)
        assert len(parts) <= MOST_SENTENCES, text
        # the place of an error's own question may hold both sides of a line
        assert all(words(part) <= MOST_WORDS + 2 * part.count("{") for part in parts), parts
        asks = [part.endswith("?") for part in parts]
        assert asks == sorted(asks) or key == "ask confirm", f"the question comes last: {text}"
        assert key == "ask confirm" or "?" not in text[:-1].split("? ")[-1], text


def test_a_wording_neither_flatters_nor_hurts() -> None:
    """No shouting either, and no sarcasm by exclamation."""
    banned = re.compile(rf"\b({'|'.join(BANNED)})\b")
    assert [text for _, text in EVERYTHING if banned.search(text.lower()) or "!" in text] == []


def filled() -> str:
    """Every sentence that can be said, with plain things in its places."""
    values = {"unknown": "it", "first": "this", "line": "that line", "guess": "five", "trial": "two", "amount": "six",
              "left": "ten", "right": "ten", "move": "two off both sides", "side": "left",
              "held": "ten", "digits": "", "other": "that one",
              "step": "two off", "after": "ten", "sum": "ten take away two", "value": "ten", "one": "this",
              "two": "that", "by": "two", "loose": "three", "all": "eight",
              "done": "it is times two", "before": "ten", "term": "the term", "lines": "two",
              "story": "Mia has ten stickers.", "kind": "two steps",
              "did": "undid two steps", "times": "twice",
              "day": "solved two equations"}  # fmt: skip
    said = [text.format_map(values) for _, text in EVERYTHING if text not in {"{line}", "{picture}"}]
    return " ".join(sentence if sentence[-1] in ".?" else f"{sentence}." for sentence in said)


def test_the_reading_age_is_that_of_an_eleven_year_old() -> None:
    """Flesch-Kincaid grade (Kincaid et al. 1975) and Gunning fog (1952), as textstat computes them, plus five."""
    text = filled()
    ages = {
        "flesch-kincaid": textstat.flesch_kincaid_grade(text) + 5,
        "gunning fog": textstat.gunning_fog(text) + 5,
    }
    assert all(age <= READING_AGE for age in ages.values()), ages


# -- the tables are whole ---------------------------------------------------------------------------------------------


def keys_in_code() -> tuple[set[str], set[str]]:
    """The keys given to Saying in the sources: whole ones, and the beginnings or ends of those put together."""
    whole, pieces = set(), set()
    for path in ROOT.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            match node:
                case ast.Constant(value=str(text)):
                    whole.add(text)
                case ast.JoinedStr(values=values):
                    plain = ["*" if isinstance(part, ast.FormattedValue) else str(part.value) for part in values]  # type: ignore[attr-defined]
                    pieces.add("".join(plain))
    return whole, pieces


def test_every_wording_is_used() -> None:
    whole, pieces = keys_in_code()
    patterns = [re.compile(re.escape(piece).replace(r"\*", ".+")) for piece in pieces if piece.strip("* {}=/")]
    unused = [key for key in wordings() if key not in whole and not any(pattern.fullmatch(key) for pattern in patterns)]
    assert unused == []


def test_every_wording_that_is_put_together_is_there() -> None:
    made = {f"ask {phase}" for phase in PHASES if phase != "done"}
    made |= {f"model {entry.idea}" for entry in error_table().values() if entry.idea not in NO_MODEL}
    made |= {f"{kind} {how}" for kind in ("take rewrite", "smaller", "choices", "hint", "show rewrite")
             for how in ("expand", "collect", "swap", "simplify")}  # fmt: skip
    made |= {f"{kind} {count}" for kind in ("counted", "told") for count in ("none", "every")}
    made |= {"multiply by unknown", "divide by unknown", "why check", "why inverse"}
    assert made <= set(wordings())
    assert {f"rewrite {how}" for how in ("expand", "collect", "swap", "simplify")} <= set(phrases())


def test_every_place_is_one_that_is_filled() -> None:
    """The walks see every wording that a lesson reaches; here, that no place is misspelt."""
    known = {"unknown", "first", "line", "guess", "trial", "amount", "left", "right", "move", "side", "held", "digits",
             "other", "step", "after", "sum", "value", "one", "two", "done", "term", "lines", "by", "loose", "all",
             "picture", "before", "story", "kind", "did", "times", "day"}  # fmt: skip
    for _, text in EVERYTHING:
        assert {name for _, name, _, _ in string.Formatter().parse(text) if name} <= known


def test_the_seed_chooses_the_variant() -> None:
    variants = wordings()["ask move"]
    heard = [word(Saying("ask move"), choice).text for choice in range(4)]
    assert heard == [variants[choice % len(variants)] for choice in range(4)]


def test_questions_of_the_phases_can_be_put_another_way() -> None:
    for key, variants in wordings().items():
        if key.startswith("ask "):
            assert len(set(variants)) >= 2, key


def test_a_turn_is_about_two_sentences() -> None:
    """Of what the tutor says itself (rule 25); the line read out again and the first and last turns are apart."""
    from talking import move

    talk = Talk("3x + 2 = 14", "x + 5 = 12")
    for step in (move("subtract", "2", "left"), move("subtract", "2", "right"), move("subtract", "2"), Control("undo")):
        talk.say(step)
        said = " ".join(reply.text for reply in talk.turns[-1].replies if reply.key != "line")
        assert len(sentences(said)) <= MOST_SENTENCES + 1
        assert len(said.split()) <= 26


def test_what_is_said_aloud_has_no_written_signs() -> None:
    from talking import move

    for text in ("3x + 2 = 14", "n/4 + 6 = 11", "2(x - 1)/3 = 4 - x", "-2(x - 7) = 3x - 1", "0.5n = 3"):
        talk = Talk(text, fresh=True)
        letter = talk.state.letter
        talk.say(
            move("subtract", f"1/2{letter}", letter=letter), Control("undo"), move("multiply", "-3", letter=letter)
        )
        for turn in talk.turns:
            for reply in turn.replies:
                assert not re.search(r"[=+*/×÷−()\d]", reply.spoken), reply


def test_a_plan_says_whose_words_a_bracket_has() -> None:
    heard = {}
    for classroom in ("british", "american"):
        opening = begin(Plan((Task(read_equation("4(n + 3) = 44")),), 1, classroom=classroom))  # type: ignore[arg-type]
        heard[classroom] = " ".join(reply.spoken for reply in opening.replies)
        more = respond(opening.state, Utterance("given"), Rewrite("expand"))
        heard[classroom] += " ".join(reply.text for reply in more.replies)
    assert "bracket" in heard["british"]
    assert "parenthes" not in heard["british"]
    assert "open parenthesis" in heard["american"]
    assert "the parentheses can be multiplied out" in heard["american"]
    assert "bracket" not in heard["american"]


def test_the_classroom_is_kept_with_the_plan() -> None:
    plan = Plan((Task(read_equation("4(n + 3) = 44")),), 1, classroom="american")
    assert plan_of(plan_record(plan)) == plan
