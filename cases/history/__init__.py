"""The history of a case as people read it: who, when, what and why."""
