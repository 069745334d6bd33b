"""Hands-free: the ears and the voice of a lesson, over the package ``speech``."""
