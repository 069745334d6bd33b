"""Sound: reading, capturing, cutting and playing it. In memory only; nothing here writes what was said."""
