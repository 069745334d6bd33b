"""Acts as JSON: what a log keeps of a turn reads back as the very same acts, whatever tree is in them."""

from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st
from strategies import any_tree, equations, letters
from strategies import moves as typed_moves

from dialogue import acts
from dialogue.acts import (
    Act,
    Ask,
    Comment,
    Control,
    Describe,
    Disclosure,
    NotAnAct,
    PartMove,
    Refused,
    Say,
    Seen,
    Term,
    Try,
    Unclear,
    Value,
    Work,
    from_json,
    to_json,
)
from dialogue.algebra.equation import Equation
from dialogue.algebra.moves import How, Line, Move, Operation, Rewrite, Sides, Verdict
from dialogue.algebra.operations import Action, Done
from dialogue.algebra.tree import Unknown

X = Unknown("x")
trees = any_tree()
operations, sides = st.sampled_from(get_args(Operation)), st.sampled_from(get_args(Sides))
moves = st.builds(Move, operations, trees, sides)
done = st.builds(Done, st.sampled_from(get_args(Action)), trees)
part_moves = st.one_of(st.builds(PartMove, operations | st.none(), st.none() | trees, sides))
lines = st.builds(Line, st.one_of(equations(), st.builds(Equation, trees, trees, letters)))
plain: st.SearchStrategy[Act] = st.one_of(
    moves, part_moves, lines,
    st.builds(Describe, st.lists(done, max_size=3).map(tuple)),
    st.builds(Verdict, st.sampled_from(["none", "every"])),
    st.builds(Value, trees, st.sampled_from([None, "left", "right"])),
    st.builds(Term, trees), st.builds(Work, trees, trees), st.builds(Try, trees),
    st.builds(Rewrite, st.sampled_from(get_args(How))),
    st.builds(Ask, st.sampled_from(get_args(acts.AskFor)), st.text(max_size=9)),
    st.builds(Say, st.sampled_from(get_args(acts.SayWhat))),
    st.builds(Control, st.sampled_from(get_args(acts.ControlWhat))),
    st.builds(Comment, st.sampled_from(get_args(acts.CommentKind))),
    st.builds(Seen, st.sampled_from(get_args(acts.SeenWhat))),
    st.builds(Unclear, st.text(max_size=20)),
    st.just(Disclosure()),
)  # fmt: skip
every_act: st.SearchStrategy[Act] = st.recursive(plain, lambda inner: st.builds(Refused, inner), max_leaves=3)


@given(every_act)
def test_an_act_reads_back_as_itself(act: Act) -> None:
    assert from_json(to_json(act, exact=True)) == act


ONE_OF_EACH: list[Act] = [
    Move("add", X), PartMove("divide"), Describe((Done("add", X),)), Line(Equation(X, X, "x")), Verdict("none"),
    Value(X), Term(X), Work(X, X), Try(X), Rewrite("swap"), Ask("hint"), Say("yes"), Control("stop"), Comment("goal"),
    Refused(Control("stop")), Disclosure(), Seen("tips"), Unclear("two moves"),
]  # fmt: skip


def test_one_of_each_reads_back_and_none_is_forgotten() -> None:
    assert [from_json(to_json(act, exact=True)) for act in ONE_OF_EACH] == ONE_OF_EACH
    assert list(map(type, ONE_OF_EACH)) == list(get_args(Act))


@given(typed_moves())
def test_the_contracts_own_json_still_reads(move: Move) -> None:
    """Older logs have it: the value is the same, the writing need not be."""
    read = from_json(to_json(move), "x")
    assert isinstance(read, Move) and to_json(read) == to_json(move)


@pytest.mark.parametrize(
    "given",
    [None, [], {}, {"act": "fly"}, {"act": "move"}, {"act": "say", "what": "perhaps"}, {"act": "ask", "for": []},
     {"act": "move", "operation": "add", "operand": "3 3", "sides": "both"},
     {"act": "move", "operation": "add", "operand": ["number", "1/0", ""], "sides": "both"},
     {"act": "describe", "operations": [["add"]]}, {"act": "describe", "operations": [["fly", "1"]]},
     {"act": "state", "equation": "x"}, {"act": "state", "equation": "x + y = 2"}, {"act": "not", "of": 1},
     {"act": "value", "value": ["+", [2, "x"]]}, {"act": ["move"]}],
)  # fmt: skip
def test_what_is_no_act_is_refused(given: object) -> None:
    with pytest.raises(NotAnAct):
        from_json(given)
