"""What the case file decides without database, web and clock."""
