"""What this part of the office adds to the course of a case and to the worklists."""
