"""What waits for whom and since when, and what the office is measured by."""
