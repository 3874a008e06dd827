"""What the case file adds to the course of a case and to the worklists."""
