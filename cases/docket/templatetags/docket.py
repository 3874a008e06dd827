"""Filters of the board."""

from __future__ import annotations

from django import template

from cases.docket.rules import Whom

register = template.Library()


@register.filter
def whom_words(value: Whom) -> str:
    """Return for whom a request waits, in words."""
    return value.words
