"""Session logs: one file a sitting, JSON lines, readable by eye and deleted to erase. They never leave the machine."""
