"""Adapters for recognisers, one a file; none imports its engine before it is used."""
