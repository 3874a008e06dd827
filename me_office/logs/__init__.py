"""What the office writes to its log: one line an event, without anybody's name or words."""
