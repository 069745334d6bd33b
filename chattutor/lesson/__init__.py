"""A lesson: where words come from, where replies go, and the loop between, which logs before it shows."""
