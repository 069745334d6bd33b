"""The teacher, next morning: session logs read into one class page."""
