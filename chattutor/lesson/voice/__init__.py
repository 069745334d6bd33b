"""Hands-free: the recognisers and the voice of a lesson, over the package ``speech``."""
