"""Typing in a case: short keys that stand for sentences, and the spelling of the trade."""
