"""Equations on paper: a teacher's own file, printed sheets with a key, and the marking of typed-in work."""
