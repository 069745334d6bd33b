"""Session logs given out and taken away: xAPI statements, rosters, Parquet, a learner's records exported or erased."""
