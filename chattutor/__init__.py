"""chattutor: a tutor that listens while a learner solves linear equations in one unknown."""

__version__ = "0.1.0"
