"""An equation to begin a re-teaching group with: of the kind the error was seen on, its numbers showing it again."""

from chattutor.review.evidence import Instance
from dialogue.algebra.misconceptions import wrong_answers
from dialogue.learner.families import draw
from dialogue.learner.stages import stages

LOOKED_AT = 12  # drawn equations looked through for one that would show the error
KIND_OF = {"subtract-coefficient": 3, "reciprocal-division": 5, "multiply-instead-of-divide": 3}
TWO_STEPS = 6  # where the error was seen on an equation of no stage, and it has no kind of its own


def starter(error: str, seen: Instance) -> str:
    """The equation, as JSON writes it."""
    number = seen.stage if 1 <= seen.stage <= len(stages()) else KIND_OF.get(error, TWO_STEPS)
    seed = sum(map(ord, seen.equation))  # the same logs give the same page
    drawn = [task.equation for task in draw(number, seed, LOOKED_AT)]
    fitting = [equation for equation in drawn if equation.text() != seen.equation]
    revealing = [equation for equation in fitting if error in wrong_answers(equation)]
    return (revealing or fitting or drawn)[0].text()
