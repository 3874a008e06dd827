"""What the history adds to the course of a case."""

from __future__ import annotations

from cases import course

course.register(
    course.Step("history", "History", 120, "history:case-history", lambda case, facts: "every edit")
)
