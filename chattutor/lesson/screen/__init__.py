"""The lesson on a terminal: the working as on a board, a balance, and the tutor's sentences."""
