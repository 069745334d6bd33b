"""From words to dialogue acts: the one place where what a learner typed or said becomes what it means."""

from dialogue.acts import Disclosure, Expecting, Interpretation, Unclear
from dialogue.understanding.understand import taken_back, understand


def interpret(text: str, expecting: Expecting = "any", letter: str = "x", tutor: str = "") -> Interpretation:
    """The acts of a turn in the order said, and whether they are sure enough to be acted on.

    Total and pure. ``tutor`` is the tutor's last sentence, where there is one. Of the equation the understanding is
    told the letter alone, so that it cannot lean towards the right answer.
    """
    meaning = understand(text, expecting, letter)
    if meaning == Unclear("distress"):
        return Interpretation((Disclosure(),), sure=True)
    first = taken_back(text, meaning, expecting, letter)
    return Interpretation((meaning,), sure=not isinstance(meaning, Unclear), taken_back=first)
