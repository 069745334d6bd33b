"""The game of catching the tutor's slip, two routes compared, and the learner explaining a step."""

import pytest
from talking import HINT, REPEAT, SKIP, STUCK, UNCLEAR, UNDO, Talk, equations, line, move, told, value

from dialogue.acts import Ask
from dialogue.algebra.equation import read_equation
from dialogue.algebra.parallel import parallel
from dialogue.judgement import equivalent
from dialogue.tutor.activities.games import aside
from dialogue.tutor.activities.odd_one_out import odd_one_out
from dialogue.tutor.activities.slip_game import planted
from dialogue.tutor.core.state import Plan, Task, Utterance
from dialogue.tutor.session import begin, step

GAME = Ask("game")
BRACKET = "4(n + 3) = 44"  # invented


def test_every_game_holds_exactly_one_slip_and_never_the_learners_equation() -> None:
    made = 0
    for equation in equations():
        for seed in (0, 1, 5):
            found = planted(equation, seed)
            if found is None:
                continue
            made += 1
            lines, slip, _ = found
            broken = [n for n in range(1, len(lines)) if not equivalent(lines[n - 1], lines[n])]
            assert broken == [slip], [each.text() for each in lines]
            assert lines[0] == parallel(equation)
            assert equation not in lines
    assert made > 100


@pytest.mark.parametrize("text", ["3x + 2 = 14", BRACKET, "8x + 3 = 5x + 21", "x/4 + 6 = 11"])
def test_the_game_is_announced_caught_and_leaves_the_board_alone(text: str) -> None:
    talk = Talk(text)
    board, phase = talk.state.board, talk.state.phase
    talk.say(GAME)
    assert talk.text.startswith("A game, with another equation.")
    assert "on purpose" in talk.text
    assert talk.state.game is not None
    slip = talk.state.game.slip
    talk.say(value(str(slip + 1)))
    assert talk.keys[:2] == ["game found", "game over"]
    assert talk.turns[-1].record.game.found is True
    assert (talk.state.board, talk.state.phase, talk.state.game) == (board, phase, None)
    assert talk.state.seen == ()
    assert talk.keys[-2] == "line", "the learner's own line is read again"


def test_a_wrong_guess_is_helped_on_and_the_second_shows_the_slip() -> None:
    for said in (value("1"), HINT, STUCK, UNCLEAR):
        talk = Talk("3x + 2 = 14")
        talk.say(GAME, said)
        assert talk.state.phase == "spot"
        talk.say(said)
        assert talk.keys[0] == "game told"
        assert talk.state.phase == "move"
        assert talk.state.tries == 0


def test_to_have_the_game_repeated_is_no_guess() -> None:
    talk = Talk("3x + 2 = 14")
    talk.say(GAME, REPEAT, REPEAT, REPEAT)
    assert talk.state.phase == "spot"
    assert talk.state.game is not None and talk.state.game.tries == 0


def test_the_game_is_left_by_going_back_without_skipping_the_learners_equation() -> None:
    for said in (SKIP, UNDO):
        talk = Talk("3x + 2 = 14", "x + 5 = 9")
        talk.say(GAME, said)
        assert (talk.state.phase, talk.state.place) == ("move", 0)


def test_the_game_is_played_in_the_middle_of_a_move() -> None:
    talk = Talk("3x + 2 = 14")
    talk.say(move("subtract", "2"), GAME, SKIP, value("3x"))
    assert talk.state.phase == "right"


@pytest.mark.parametrize("text", ["game", "let's play a game", "Can we play a game please?", "play"])
def test_the_game_is_asked_for_in_words(text: str) -> None:
    opening = begin(Plan((Task(read_equation("3x + 2 = 14")),), 1, (("operations", 4),)))
    assert step(opening.state, Utterance(text)).state.phase == "spot"
    assert aside("play fair", "move") is None


def test_the_game_is_offered_after_every_third_equation_solved() -> None:
    talk = Talk(*(f"x + 5 = {number}" for number in (11, 12, 13, 14)))
    offered = []
    for number in (11, 12, 13):
        talk.say(line(f"x = {number - 5}"), *([value(str(number))] if number == 11 else []))
        offered.append("offer game" in talk.keys)
    assert offered == [False, False, True]


def test_of_three_equations_one_has_another_answer_and_none_is_the_learners() -> None:
    made = 0
    for equation in equations():
        for seed in range(3):
            game = odd_one_out(equation, seed, "move")
            if game is None:
                continue
            made += 1
            answers = [each.solution().value for each in game.lines]
            odd = answers.pop(game.slip)
            assert len(set(answers)) == 1 and odd not in answers, [each.text() for each in game.lines]
            assert equation not in game.lines
    assert made > 100


def test_the_next_game_is_another_one_and_the_one_after_it_the_first_again() -> None:
    talk = Talk("3x + 2 = 14")
    talk.say(GAME, UNDO, GAME)
    assert talk.keys == ["odd", "game line", "game line", "game line", "ask odd"]
    assert talk.state.game is not None
    odd = talk.state.game.slip
    talk.say(value(str(1 + (odd + 1) % 3)))
    assert talk.keys[0] in {"odd missed", "odd help"} and talk.keys[-1] == "ask odd"
    talk.say(value(str(odd + 1)))
    assert talk.keys[:2] == ["odd found", "game over"]
    assert talk.turns[-1].record.game.found is True
    talk.say(GAME)
    assert talk.keys[0] == "game"


ROUTES = [
    ((line("n + 3 = 11"), line("n = 8"), value("44")), "4n + 12 = 44"),
    ((line("4n + 12 = 44"), line("4n = 32"), line("n = 8"), value("44")), "n + 3 = 11"),
]


@pytest.mark.parametrize(("said", "other"), ROUTES)
def test_the_route_not_taken_is_shown_once_solved_and_compared(said: tuple[object, ...], other: str) -> None:
    talk = Talk(BRACKET, "x + 5 = 9")
    talk.say(*said)  # type: ignore[arg-type]
    assert talk.keys[1:] == ["other route", "ask compare"]
    assert other in talk.text
    assert talk.state.solved == (0,)
    assert talk.turns[-1].record.solved
    talk.say(UNCLEAR)
    assert talk.state.place == 1


def test_routes_are_not_compared_after_help_or_where_there_is_only_one() -> None:
    talk = Talk(BRACKET, "x + 5 = 9")
    talk.say(HINT, line("n + 3 = 11"), line("n = 8"), value("44"))
    assert talk.state.place == 1
    talk = Talk("3x + 2 = 14", "x + 5 = 9")
    talk.say(line("3x = 12"), line("x = 4"), value("14"))
    assert talk.state.place == 1


def test_explain_it_to_me_checks_which_operation_undoes_which() -> None:
    """The reason asked for by the tutor; what is right of it is credited and what is not is tried where it fails."""
    seed = next(seed for seed in range(50) if _is_asked(seed))
    add, subtract = (told(move(operation, "2", "unsaid")) for operation in ("add", "subtract"))  # type: ignore[arg-type]
    for reason, given in ((add, "inverse"), (subtract, "same operation")):
        talk = Talk("3x + 2 = 14", seed=seed, reasons=True)
        talk.say(move("subtract", "2"), reason)
        assert talk.turns[-1].record.reason_given == given


def _is_asked(seed: int) -> bool:
    return Talk("3x + 2 = 14", seed=seed, reasons=True).say(move("subtract", "2")).state.phase == "reason"
