"""Listening and speaking, offline. Knows nothing of what is talked about."""
