"""What laboratories, consultants and hospitals reported: who, when, on which items, in words."""
