"""Things: evidence and personal effects, where they were found, cash by count."""
