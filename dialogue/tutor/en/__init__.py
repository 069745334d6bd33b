"""What the tutor looks for in a learner's words beside what was understood of them, as data."""
