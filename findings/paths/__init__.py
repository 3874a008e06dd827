"""Wound paths: where they begin and end, how they run, how they are said."""
