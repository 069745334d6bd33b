"""Whole lessons of invented learners, and the laws of a lesson: every one ends, what is called solved is solved, hints
give nothing away, every step judged in a turn is judged as sympy would, and nothing that was refused is done.

    python tests/bench/bench_lessons.py [lessons] [processes] [first seed]

Each lesson is one equation, of every stage in turn or of the list in tests/tutor, and one learner with habits of their
own: how often they are right, wrong, stuck, asking for a hint, saying something else altogether, several things at
once, or that they do not want something. After some turns only hints are asked for. Exits with 1 where a lesson broke
one of the laws, and prints it.
"""

import re
import sys
from collections import Counter
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
from dialogue.algebra.solver import is_solved, next_step
from dialogue.algebra.tree import constant
from dialogue.algebra.with_sympy import solution
from dialogue.algebra.writing import BOARD, write
from dialogue.learner.families import draw
from dialogue.turn_record import Answered, Record
from dialogue.tutor.core.questions import due_line, due_value
from dialogue.tutor.core.state import Plan, State, Task, Turn, Utterance
from dialogue.tutor.session import begin, respond

sys.path[:0] = [str(Path(__file__).parents[1] / "tutor"), str(Path(__file__).parents[1])]

from talking import HINT, OWN, STUCK  # noqa: E402 - the tests' own helpers are found only now
from test_walks import SHOWN, in_order, says  # noqa: E402

OWN_TURNS, MOST_TURNS = 40, 400
DRAWN = 40  # equations of a stage
COMMANDS = (Control("stop"), Control("skip"), Control("undo"), Control("restart"), HINT)
NUMBERS_OF_OTHERS = {"example", "choices move", "answer fails", "answer too big", "answer too small", "tried before",
                     "hint put in", "right so far"}  # fmt: skip
# another equation's, the step beside another, what a learner's own answer gives, the sum it makes as it stands, or how
# many lines there are


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


def misjudged(record: Record) -> str:
    """The first step of the turn that sympy judges otherwise: a line keeps the solutions of the one that it was made
    on, and so does a rewrite."""
    for step in record.steps if isinstance(record, Answered) else ():
        made = from_json(step.act)
        if step.reason == "not that move" or not isinstance(made, Line):
            continue  # a line beside a claim was not judged alone; moves are looked at in bench_verdicts.py
        on = read_equation(step.line, made.equation.letter, OWN_ROOM)
        if step.balanced is not (solution(made.equation) == solution(on)):
            return f"{made.equation.text()} on {on.text()} was judged {step.balanced}"
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
        if solution(last) != truth or not answered or not fits:
            return f"called solved: {last.text()}"
    if turn.record.event == "hint":
        secret = secret_numbers(before) - known_numbers(before)
        answer = before.task.equation.solution().value
        below = write(constant(answer), BOARD) if answer is not None and answer < 0 else ""
        shown = before.task.equation.text(BOARD) + before.equation.text(BOARD)
        for reply in turn.replies:
            asks = reply.key.startswith("ask ") or reply.key in SHOWN or reply.key in NUMBERS_OF_OTHERS
            given = digits(reply.text) & secret or (below and below in reply.text and below not in shown)
            if not asks and given:
                return f"a hint gives away a number: {reply.key}: {reply.text}"
    return ""


def lesson(equation: Equation, seed: int) -> tuple[int, str]:
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
        acts = said_by(random, kind, state)
        turn = respond(state, Utterance("given"), Interpretation(acts, sure=True) if acts else None)
        if fault := broken(state, acts, turn, truth):
            return count, fault
        state = turn.state
    return MOST_TURNS, "does not end"


def some(work: tuple[int, int, int]) -> tuple[Counter[str], list[str]]:
    """So many lessons of one stage (or of the list, 0) with seeds of their own."""
    stage, seed, most = work
    equations = [task.equation for task in draw(stage, seed, DRAWN)] if stage else list(map(read_equation, OWN))
    counts: Counter[str] = Counter()
    faults = []
    for number, equation in enumerate(equations[:most]):
        turns, fault = lesson(equation, 1000 * seed + number)
        counts += Counter({"lessons": 1, "turns": turns})
        if fault:
            faults.append(f"{equation.text()}, seed {1000 * seed + number}: {fault}")
    return counts, faults


def main() -> int:
    """Print the counts; 1 where a law was broken."""
    lessons = int(sys.argv[1]) if len(sys.argv) > 1 else 600
    processes = int(sys.argv[2]) if len(sys.argv) > 2 else 2
    first = int(sys.argv[3]) if len(sys.argv) > 3 else 0  # another one gives other lessons: a long run in parts
    rounds = -(-lessons // (15 * DRAWN + len(OWN)))
    most = -(-lessons // (16 * rounds))
    work = [(stage, seed, most) for seed in range(first, first + rounds) for stage in range(16)]
    counts, faults, seconds = pooled(some, work, processes)
    print(f"{counts['lessons']:,} lessons, {counts['turns']:,} turns, {seconds:.0f} s")
    row("laws broken in invented lessons", [len(faults)], "", limit=0, note=f"of {counts['lessons']:,}")
    return told("laws broken", faults)


if __name__ == "__main__":
    sys.exit(main())
