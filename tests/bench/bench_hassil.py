"""How fast a sentence is matched, and to the right meaning, against hassil with the same wordings.

    python tests/bench/bench_hassil.py [--every 5]

hassil (a general-purpose library for intents from sentence templates) has nearly our notation, and gets those of our
wordings that hold no other meaning inside: nested ones ("do the opposite of ...") take it minutes a sentence. It has
numbers, not expressions, so that only examples with plain numbers are tried. Three ways over the same sentences:
hassil, our matcher with those same wordings and no others, and the whole of `understand` with all of them.
"""

import argparse
import importlib.util
import re
import statistics
import sys
import time
from collections import defaultdict
from collections.abc import Callable, Sequence
from fractions import Fraction
from pathlib import Path
from typing import Any

from rows import cannot, row

from dialogue.acts import Meaning, to_json
from dialogue.algebra.tree import Number
from dialogue.understanding.grammar import BUILT_IN, Grammar, Matcher, Wording, load
from dialogue.understanding.normalise import cleaned, tokens
from dialogue.understanding.semantics import BUILDERS, build
from dialogue.understanding.understand import understand

sys.path.insert(0, str(Path(__file__).parents[1]))
from understanding.scoring import meaning_of, same

NAMED = re.compile(r"[<{](\w+)[>}]")
EXPRESSIONS = ("n", "u", "left_hand", "right_hand")
TOP = ("act", "move")  # the names whose wordings are whole sentences after any question
LARGEST = 200  # number that hassil is told of
Read = Callable[[str], Meaning | None]


def chosen() -> tuple[list[Wording], list[Wording]]:
    """Whole sentences that hold no other meaning; and all other wordings, which those may use by name."""
    all_of_them = [one for one in load().wordings if one.file != "heard"]
    meaning = {one.name for one in all_of_them if one.means.partition(" ")[0] in BUILDERS}
    whole = [one for one in all_of_them if one.name in TOP and meaning.isdisjoint(NAMED.findall(one.say))]
    parts = [one for one in all_of_them if one.name not in meaning]
    while True:  # a part whose own parts hold a meaning is left out as well
        known = {*BUILT_IN, *(one.name for one in parts)}
        fewer = [one for one in parts if known.issuperset(NAMED.findall(one.say))]
        if len(fewer) == len(parts):
            return [one for one in whole if known.issuperset(NAMED.findall(one.say))], parts
        parts = fewer


def sentences(whole: Sequence[Wording]) -> list[Wording]:
    """Those whose example has no unknown in it and means something to the mathematics or the lesson."""
    return [one for one in whole if one.example and not re.search(r"\bx\b|=", f"{one.example} {one.gives}")]


def matched(whole: Sequence[Wording], parts: Sequence[Wording]) -> Read:
    """Our matcher with these wordings alone."""
    grammar = Grammar((*whole, *parts))

    def read(text: str) -> Meaning | None:
        said = tokens(cleaned(text), "x")
        matcher = Matcher(grammar, said, "x", build)
        found = [one for name in TOP for one in matcher.at(name, 0) if one[0] == len(said)]
        return min(found, key=lambda one: one[2])[1] if found else None

    return read


def with_hassil(whole: Sequence[Wording], parts: Sequence[Wording]) -> Read:
    """hassil with these wordings."""
    from hassil.intents import Intent, IntentData, Intents, RangeSlotList, TextSlotList, WildcardSlotList
    from hassil.parse_expression import parse_sentence
    from hassil.recognize import recognize

    by_name: dict[str, list[Wording]] = defaultdict(list)
    for one in parts:
        by_name[one.name].append(one)
    listed = {name for name, all_of in by_name.items() if all(one.means for one in all_of)}

    def told(wording: str) -> str:
        """In hassil's notation: a list where the words mean something, a rule for any other name."""

        def one(match: re.Match[str]) -> str:
            name = match[1]
            return f"{{{name}}}" if name == "anything" or (match[0][0] == "{" and name in listed) else f"<{name}>"

        return NAMED.sub(one, wording)

    rules = {name: parse_sentence(f"({'|'.join(told(one.say) for one in all_of)})") for name, all_of in by_name.items()}
    rules["unknown_letter"] = parse_sentence("x")
    for name in EXPRESSIONS:
        rules[name] = parse_sentence("[minus|negative] {number}")
    lists: dict[str, Any] = {"number": RangeSlotList("number", 0, LARGEST), "anything": WildcardSlotList("anything")}
    for name in listed:
        lists[name] = TextSlotList.from_tuples([(told(one.say), one.means) for one in by_name[name]], name=name)
    by_meaning: dict[str, list[str]] = defaultdict(list)
    for one in whole:
        by_meaning[one.means].append(told(one.say))
    intents = {means: Intent(means, [IntentData(sentence_texts=said)]) for means, said in by_meaning.items()}
    known = Intents("en", intents=intents, slot_lists=lists, expansion_rules=rules)

    def read(text: str) -> Meaning | None:
        result = recognize(text, known)
        if result is None:
            return None
        slots = {name: entity.value for name, entity in result.entities.items()}
        if "number" in slots:
            slots["n"] = slots["u"] = Number(Fraction(int(slots.pop("number"))))
        try:
            meaning: Meaning | None = build(result.intent.name, slots, "x")
        except (KeyError, ValueError, TypeError):  # the intent of another sentence, whose slots are not these
            return None
        return meaning

    return read


def timed(read: Read, said: Sequence[Wording]) -> tuple[list[float], float]:
    """Milliseconds of processor time a sentence, the first one left out; and how many in a hundred came out right."""
    times, right = [], 0
    read(said[0].example)  # what is worked out once
    for one in said:
        started = time.process_time_ns()
        meaning = read(one.example)
        times.append((time.process_time_ns() - started) / 1e6)
        right += meaning is not None and same(to_json(meaning), meaning_of(one.gives))
    return times, 100 * right / len(said)


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--every", type=int, default=5, help="of how many examples one is tried")
    given = parser.parse_args()
    whole, parts = chosen()
    said = sentences(whole)[:: given.every]
    print(f"{len(said)} sentences, {len(whole)} wordings of whole sentences, {len(parts)} of parts of them")
    ours, right = timed(matched(whole, parts), said)
    everything, all_right = timed(lambda text: understand(text, "move", "x"), said)
    rows = [("our matcher, the same wordings", ours, right), ("understand, all wordings", everything, all_right)]
    if importlib.util.find_spec("hassil") is None:
        cannot("a sentence to its meaning, against hassil", "hassil is not installed (the extra `bench`)")
    else:
        theirs, theirs_right = timed(with_hassil(whole, parts), said)
        rows.append(("hassil, the same wordings", theirs, theirs_right))
        peer = "hassil, the same wordings"
        row("a sentence to its meaning: matcher", ours, "ms", peer=peer, theirs=theirs)
        row("a sentence to its meaning: all of `understand`", everything, "ms", peer=peer, theirs=theirs)
        row("examples understood", [all_right], "%", peer=peer, theirs=[theirs_right], note=f"n = {len(said)}")
    for name, times, share in rows:
        print(f"{name:32} median {statistics.median(times):9.3f} ms, most {max(times):9.2f} ms, right {share:5.1f}%")


if __name__ == "__main__":
    main()
