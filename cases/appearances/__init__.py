"""Dates on which staff testify or meet counsel: when, where, with what, and how it went."""
