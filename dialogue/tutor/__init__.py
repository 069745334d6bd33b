"""The tutor: a session as a fold over what the learner said."""

from dialogue.tutor.core.state import Plan, State, Task, Turn, Utterance
from dialogue.tutor.session import begin, expecting, give, is_over, step
from dialogue.verbalising.sayings import Reply

__all__ = ["Plan", "Reply", "State", "Task", "Turn", "Utterance", "begin", "expecting", "give", "is_over", "step"]
