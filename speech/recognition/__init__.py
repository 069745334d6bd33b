"""Sound into words: adapters, one a file, that load no engine before it is used; the vote; the doubt."""
