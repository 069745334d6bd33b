"""Moonshine, a small dictating network: it writes what it hears, guided by what can be said."""
