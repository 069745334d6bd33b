"""Whole lessons of invented learners, and the laws of a lesson: every one ends, what is called solved is solved, hints
give nothing away, every step judged in a turn is judged as sympy would, and nothing that was refused is done.

    python tests/bench/bench_lessons.py [lessons] [processes] [first seed] [--typed 100]

Each lesson is one equation, of every stage in turn or of the list in tests/tutor, and one learner with habits of their
own: how often they are right, wrong, stuck, asking for a hint, saying something else altogether, several things at
once, or that they do not want something. After some turns only hints are asked for. Most learners give the acts that
they mean; one in so many (``--typed``; 0 for none) types words, which are understood as in a lesson: steps and numbers
as they are written, refusals as in tests/understanding, and else something that an author once wrote down for a
learner. Exits with 1 where a lesson broke one of the laws, and prints it.
"""

import argparse
import json
import re
import sys
from collections import Counter
from functools import cache, lru_cache
from pathlib import Path
from random import Random

from pooled import pooled, told
from rows import row

from dialogue.acts import Act, Control, Describe, Interpretation, Meaning, Refused, Value, from_json
from dialogue.algebra.board import board_of, equation_from
from dialogue.algebra.equation import Equation, read_equation
from dialogue.algebra.linear import linear
from dialogue.algebra.misconceptions.rules import LINE_RULES
from dialogue.algebra.moves import Line, Move
from dialogue.algebra.reading import OWN as OWN_ROOM
from dialogue.algebra.solver import in_words, is_solved, next_step
from dialogue.algebra.tree import constant
from dialogue.algebra.with_sympy import solution as worked_out
from dialogue.algebra.writing import BOARD, TYPED, write
from dialogue.learner.families import draw
from dialogue.turn_record import Answered, Record
from dialogue.tutor.core.questions import due_line, due_value
from dialogue.tutor.core.state import Plan, State, Task, Turn, Utterance
from dialogue.tutor.session import begin, meant, respond, step
from dialogue.verbalising.replies import as_read_back

TESTS = Path(__file__).parents[1]
sys.path[:0] = [str(TESTS / "tutor"), str(TESTS), str(TESTS / "understanding")]

from talking import HINT, OWN, STUCK  # noqa: E402 - the tests' own helpers are found only now
from test_refusals import THINGS, WAYS  # noqa: E402
from test_walks import SHOWN, in_order, says  # noqa: E402

solution = lru_cache(maxsize=4096)(worked_out)  # a line is looked at in many turns

OWN_TURNS, MOST_TURNS = 40, 400
DRAWN = 40  # equations of a stage
COMMANDS = (Control("stop"), Control("skip"), Control("undo"), Control("restart"), HINT)
ASKS = ("ask ", "in other words check")  # a check names the answer that is put in
NUMBERS_OF_OTHERS = {"example", "choices move", "answer fails", "answer too big", "answer too small", "tried before",
                     "hint put in", "right so far", "look what it gives",
                     "steps alone", "one step alone", "evidence lines",
                     "you solved", "did today", "solved today", "you did left"}  # fmt: skip
# another equation's, the step beside another, what a learner's own answer gives, the sum it makes as it stands, how
# many lines there are, what a learner's own move gives that is no nearer and is left, how many steps were their own, a
# line or a side of their own, or what they solved before


def right_thing(state: State) -> Meaning | None:
    """What a learner who knows would say."""
    due = due_value(state)
    if due is not None:
        return Value(due)
    return Describe(in_order(state.equation)) if state.phase == "operations" else next_step(state.equation)


def wrong_thing(state: State, random: Random) -> Meaning | None:
    """A line of a documented wrong rule, or a value that is out."""
    if due_value(state) is not None and random.random() < 0.7:
        return Value(constant(random.choice([linear(due_value(state) or constant(0)).constant + 1, 0, -3])))
    rules = list(LINE_RULES)
    random.shuffle(rules)
    for _, rule in rules:
        for board in rule(board_of(state.equation)):
            return Line(equation_from(board, state.letter))
    return STUCK


def said_by(random: Random, kind: str, state: State) -> tuple[Act, ...]:
    """Something right, wrong, a hint asked for, a refusal, several things, or anything else."""
    one: Act | None
    match kind:
        case "r":
            one = right_thing(state)
        case "w":
            one = wrong_thing(state, random)
        case "h":
            one = HINT
        case "n":
            one = Refused(random.choice((*COMMANDS, right_thing(state) or HINT, wrong_thing(state, random) or HINT)))
        case "m":
            several = [act for each in random.choices("rwo", k=random.choice((2, 2, 3)))
                       for act in said_by(random, each, state)]  # fmt: skip
            return tuple(several)
        case _:
            one = says(random, state)
    return () if one is None else (one,)


@cache
def written_down() -> tuple[str, ...]:
    """What authors once wrote down for learners to say."""
    files = sorted((TESTS / "understanding" / "data").glob("*.jsonl"))
    return tuple(json.loads(line)["text"] for file in files for line in file.read_text("utf-8").splitlines())


def typed_by(random: Random, kind: str, state: State) -> str:
    """The same in words."""
    match kind:
        case "h":
            return random.choice(("hint", "can I have a hint?", "help", "i need some help here"))
        case "n":
            return random.choice(WAYS).format(random.choice(THINGS))
        case "m":
            return random.choice((" and ", ", ", ". ", " so ")).join(
                typed_by(random, each, state) for each in random.choices("rwo", k=2)
            )
        case "o":
            return random.choice(written_down())
    if state.phase == "confirm" and random.random() < 0.5:
        return random.choice(("yes", "no"))
    return " then ".join(as_typed(random, act) for act in said_by(random, kind, state))


def as_typed(random: Random, act: Act) -> str:
    """An act as it might be typed."""
    match act:
        case Move():
            return in_words(act).rstrip(".")
        case Line(equation):
            return equation.text(TYPED)
        case Value(value):
            return write(value, random.choice((TYPED, BOARD)))
    return as_read_back(act) if act != STUCK else random.choice(("idk", "I don't know", "im stuck"))


def misjudged(record: Record) -> str:
    """The first step of the turn that sympy judges otherwise: a line keeps the solutions of the one that it was made
    on, and so does a rewrite."""
    for one in record.steps if isinstance(record, Answered) else ():
        made = from_json(one.act)
        if one.reason == "not that move" or not isinstance(made, Line):
            continue  # a line beside a claim was not judged alone; moves are looked at in bench_verdicts.py
        on = read_equation(one.line, made.equation.letter, OWN_ROOM)
        if one.balanced is not (solution(made.equation) == solution(on)):
            return f"{made.equation.text()} on {on.text()} was judged {one.balanced}"
    return ""


def done_all_the_same(before: State, acts: tuple[Act, ...], turn: Turn) -> bool:
    """Whether something changed although all that was said was that it is not wanted."""
    if not acts or not all(isinstance(act, Refused) for act in acts):
        return False
    record, after = turn.record, turn.state
    helped = isinstance(record, Answered) and "hint" in record.then  # after too many turns that brought nothing
    if helped and Refused(HINT) not in acts:
        return False
    return (after.board, after.place) != (before.board, before.place) or (after.phase == "done") != (
        before.phase == "done"
    )


def known_numbers(state: State) -> set[str]:
    """The numbers that are on the board, or that the learner said."""
    known = digits(state.task.equation.text(BOARD)) | digits(state.equation.text(BOARD))
    for move in (state.pending, *state.held):  # a move that waits for its lines, or for its reason
        if isinstance(move, Move):
            known |= digits(write(move.operand, BOARD))
        elif isinstance(move, Line):
            known |= digits(move.equation.text(BOARD))
    return known | (digits(write(constant(state.guess), BOARD)) if state.guess is not None else set())


def secret_numbers(state: State) -> set[str]:
    """The numbers of the answer, and of what is asked for now. To say 2 gives nothing away of −2."""
    answer, due, line = state.task.equation.solution().value, due_value(state), due_line(state)
    found = digits(write(constant(answer), BOARD)) if answer is not None and answer >= 0 else set()
    found |= digits(write(due, BOARD)) if due is not None else set()
    return found | (digits(line.text(BOARD)) if line is not None else set())


def digits(text: str) -> set[str]:
    """The numbers in a text, a fraction or decimal as one."""
    return set(re.findall(r"\d+(?:[./]\d+)?", text))


def broken(before: State, acts: tuple[Act, ...], turn: Turn, truth: object) -> str:
    """The law a turn broke; empty where it broke none."""
    if done_all_the_same(before, acts, turn):
        return f"refused and done in the phase {before.phase}: {acts}"
    if fault := misjudged(turn.record):
        return fault
    for line in turn.state.board if turn.state.place == before.place else ():
        if line.equation.solution() != truth:
            return f"a line on the board that does not follow: {line.equation.text()}"
    if turn.record.solved:
        last = before.equation if turn.state.place != before.place else turn.state.equation
        answered = solution(last).kind != "one" or is_solved(last) or before.guess is not None
        root = solution(last).value  # the answer and both sides of its check may come in one turn
        shown = write(constant(root), BOARD) if root is not None else ""
        answered = answered or any(isinstance(act, Value) and write(act.value, BOARD) == shown for act in acts)
        fits = before.guess is None or solution(last).kind == "every" or before.guess == solution(last).value
        fits = fits or turn.record.event == "verdict right"  # the guess is given up: "no solution"
        fits = fits or any(
            isinstance(act, Line) and is_solved(act.equation) and solution(act.equation) == truth for act in acts
        )  # another answer is given instead, and put in, in one turn
        if {"put in, fits", "put in, both fit"} & {
            reply.key for reply in turn.replies
        }:  # the tutor puts in what stands
            answered = fits = True
        if solution(last) != truth or not answered or not fits:
            return f"called solved: {last.text()}"
    if turn.record.event == "hint":
        secret, due = secret_numbers(before) - known_numbers(before), due_value(before)
        sum_asked = digits(write(due, BOARD)) - known_numbers(before) if due is not None else set()
        answer = before.task.equation.solution().value
        below = write(constant(answer), BOARD) if answer is not None and answer < 0 else ""
        shown = before.task.equation.text(BOARD) + before.equation.text(BOARD)
        moves = (one for one in (before.pending, *before.further) if isinstance(one, Move))
        shown += "".join(write(one.operand, BOARD) for one in moves)  # said by the learner
        for reply in turn.replies:
            asks = reply.key.startswith(ASKS) or reply.key in SHOWN or reply.key in NUMBERS_OF_OTHERS
            in_parts = reply.key.startswith("parts ")  # the tens and ones of a sum: what it comes to is kept, no more
            kept = sum_asked if in_parts else secret
            negative = below != "" and re.search(rf"{below}(?!\d)", reply.text) is not None and below not in shown
            given = digits(reply.text) & kept or (not in_parts and negative)
            if not asks and given:
                return f"a hint gives away a number: {reply.key}: {reply.text}"
            if reply.key in SHOWN:  # what was shown is known from there on
                sum_asked, secret = sum_asked - digits(reply.text), secret - digits(reply.text)
    return ""


def lesson(equation: Equation, seed: int, typed: bool = False) -> tuple[int, str]:
    """Turns, and what went wrong."""
    random = Random(seed)
    right, wrong, other, hint, several, no = (random.random() for _ in range(6))
    habits = (right, wrong, other / 2, hint / 2, several / 2, no / 4)
    faded = random.choice([(), (("operations", 4), ("first", 2)), (("operations", 2), ("first", 2), ("sides", 2))])
    state = begin(Plan((Task(equation),), seed, faded)).state
    truth = solution(equation)
    for count in range(MOST_TURNS):
        if state.place or state.phase == "done":
            return count, ""
        kind = random.choices("rwohmn", habits)[0] if count < OWN_TURNS else "h"
        if typed:
            said = Utterance(typed_by(random, kind, state))
            found, turn = meant(state, said), step(state, said)
            acts = found.acts if found is not None else ()
        else:
            acts = said_by(random, kind, state)
            turn = respond(state, Utterance("given"), Interpretation(acts, sure=True) if acts else None)
        if fault := broken(state, acts, turn, truth):
            return count, fault
        state = turn.state
    return MOST_TURNS, "does not end"


def some(work: tuple[int, int, int, int]) -> tuple[Counter[str], list[str]]:
    """So many lessons of one stage (or of the list, 0) with seeds of their own."""
    stage, seed, most, in_typing = work
    equations = [task.equation for task in draw(stage, seed, DRAWN)] if stage else list(map(read_equation, OWN))
    counts: Counter[str] = Counter()
    faults = []
    for number, equation in enumerate(equations[:most]):
        typed = bool(in_typing) and (16 * most * seed + most * stage + number) % in_typing == 0
        turns, fault = lesson(equation, 1000 * seed + number, typed)
        counts += Counter({"lessons": 1, "turns": turns, "typed lessons": typed, "typed turns": turns * typed})
        if fault:
            faults.append(f"{equation.text()}, seed {1000 * seed + number}{', typed' * typed}: {fault}")
    return counts, faults


def main() -> int:
    """Print the counts; 1 where a law was broken."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("lessons", nargs="?", type=int, default=600)
    parser.add_argument("processes", nargs="?", type=int, default=2)
    parser.add_argument("first", nargs="?", type=int, default=0, help="another gives other lessons: a run in parts")
    parser.add_argument("--typed", type=int, default=100)
    args = parser.parse_args()
    lessons, first = args.lessons, args.first
    rounds = -(-lessons // (15 * DRAWN + len(OWN)))
    most = -(-lessons // (16 * rounds))
    seeds = range(first * rounds, (first + 1) * rounds)
    work = [(stage, seed, most, args.typed) for seed in seeds for stage in range(16)]
    counts, faults, seconds = pooled(some, work, args.processes)
    print(f"{counts['lessons']:,} lessons, {counts['turns']:,} turns, {seconds:.0f} s; "
          f"of them typed {counts['typed lessons']:,} with {counts['typed turns']:,} turns")  # fmt: skip
    row("laws broken in invented lessons", [len(faults)], "", limit=0, note=f"of {counts['lessons']:,}")
    return told("laws broken", faults)


if __name__ == "__main__":
    sys.exit(main())
