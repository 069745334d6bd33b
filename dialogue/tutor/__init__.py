"""The tutor: a session as a fold over what the learner said."""

from dialogue.tutor.session import begin, expecting, give, is_over, step
from dialogue.tutor.state import Plan, Reply, Said, State, Task, Turn

__all__ = ["Plan", "Reply", "Said", "State", "Task", "Turn", "begin", "expecting", "give", "is_over", "step"]
