"""What was said before: earlier statements, read by page and line, beside the record."""
