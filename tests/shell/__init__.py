"""Tests of the page frame, the forms and the way in."""
