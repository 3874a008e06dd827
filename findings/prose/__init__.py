"""A report's sentences from what was recorded: pure words, no Django."""
