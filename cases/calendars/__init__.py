"""Leave of the office's people, what it clashes with, and private feeds in iCalendar."""
