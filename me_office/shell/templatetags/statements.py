"""`{% caution "key" %}`: a registered text in the frame of the usual caution."""

from __future__ import annotations

from django import template

from me_office.statements import statement_of

register = template.Library()


@register.inclusion_tag("shell/parts/_caution.html")
def caution(key: str) -> dict[str, str]:
    """The usual caution with the words of the statement of that key."""
    return {"words": statement_of(key).text}


@register.simple_tag
def caution_words(key: str) -> str:
    """The words of the statement of that key, within a sentence of the page."""
    return statement_of(key).text
