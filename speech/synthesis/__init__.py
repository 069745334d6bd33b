"""Adapters for voices, one a file; none imports its engine before it is used."""
