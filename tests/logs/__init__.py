"""Tests of what is written to the log."""
