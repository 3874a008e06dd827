"""Template words: moments in office time, sizes, states. Built in to every template."""

from __future__ import annotations

import json
from datetime import date, datetime
from typing import Any

from django import template
from django.forms import BaseForm
from django.template.context import Context
from django.template.loader_tags import BLOCK_CONTEXT_KEY, BlockContext
from django.utils import timezone
from django.utils.html import strip_tags
from django.utils.safestring import SafeString, mark_safe

from me_office.moments import clock_words, is_repeated, local

register = template.Library()


@register.filter
def moment(value: datetime | None) -> str:
    """A moment in office time with its zone: 14 Nov 2026, 09:20 EST."""
    if not value:
        return ""
    return timezone.localtime(value).strftime("%d %b %Y, %H:%M %Z").lstrip("0")


@register.filter
def short_moment(value: datetime | None) -> str:
    """A moment in office time: 14 Nov, 09:20, with its zone in the hour that comes twice."""
    if not value:
        return ""
    return clock_words(value, "%d %b, %H:%M")


@register.filter
def clock(value: datetime | None) -> str:
    """The time of day: 09:20, with its zone in the hour that comes twice."""
    if not value:
        return ""
    return f"{local(value):%H:%M %Z}" if is_repeated(value) else f"{local(value):%H:%M}"


@register.filter
def day(value: date | datetime | None) -> str:
    """A day: 14 Nov 2026."""
    if not value:
        return ""
    if isinstance(value, datetime):
        value = timezone.localtime(value)
    return value.strftime("%d %b %Y").lstrip("0")


@register.filter
def days_ago(value: datetime | None) -> str:
    """How long ago a moment is in days of the office: today, 1 day, 41 days."""
    if not value:
        return ""
    days = (timezone.localdate() - timezone.localtime(value).date()).days
    return "today" if days <= 0 else f"{days:,} {'day' if days == 1 else 'days'}"


@register.filter
def uncertain(record: Any, name: str) -> str:
    """An uncertain time in words: about 14 Nov, 09:20; between ... and ...; not known."""
    if not record:
        return ""
    certainty = getattr(record, f"{name}_certainty")
    at, until = getattr(record, f"{name}_at"), getattr(record, f"{name}_until")
    if certainty == "unknown" or at is None:
        return "not known"
    if certainty == "between" and until is not None:
        return f"between {moment(at)} and {moment(until)}"
    return f"about {moment(at)}" if certainty == "about" else moment(at)


@register.filter
def bytes_words(value: int | str | None) -> str:
    """A size in bytes as people read it: 4.2 MB; of nothing, nothing."""
    if not isinstance(value, int):
        return ""
    if value < 1000:
        return f"{value} bytes"
    if value < 1_000_000:
        return f"{value / 1000:.0f} kB"
    return f"{value / 1_000_000:.1f} MB"


@register.filter
def decimal_words(value: Any) -> str:
    """A decimal without trailing zeros."""
    return "" if value in (None, "") else f"{value.normalize():f}"


@register.filter
def lookup(mapping: dict[Any, Any] | str, key: Any) -> Any:
    """The value of a mapping under a key, or nothing; a page without the mapping has none."""
    return mapping.get(key) if isinstance(mapping, dict) else None


@register.simple_tag
def fields(form: BaseForm | None, names: str) -> SafeString:
    """Fields of a form in this order, each with label, help and what is wrong.

    One that the form has not just now is left out, and all where there is no form.
    """
    if not form:
        return SafeString()
    here = (form[name].as_field_group() for name in names.split() if name in form.fields)
    return mark_safe("\n".join(here))  # noqa: S308 - made by the fields' own template


@register.simple_tag
def json_attribute(value: Any) -> SafeString:
    """A value as JSON, escaped for a data attribute."""
    from django.utils.html import escape

    return mark_safe(escape(json.dumps(value, default=str)))  # noqa: S308 - escaped above


_NUMBER_WORDS = (
    *("Nothing", "One", "Two", "Three", "Four", "Five", "Six"),
    *("Seven", "Eight", "Nine", "Ten", "Eleven", "Twelve"),
)


def _number_word(count: int) -> str:
    return _NUMBER_WORDS[count] if count < len(_NUMBER_WORDS) else str(count)


def _pressing_words(pressing: int, waiting: int) -> str:
    if pressing == waiting:
        return {1: "It is", 2: "Both are"}.get(waiting, "All are")
    return f"{_number_word(pressing)} {'is' if pressing == 1 else 'are'}"


@register.filter
def waiting_words(sections: list[tuple[Any, list[Any]]]) -> str:
    """How much waits, in words: Five things wait for you. Two are pressing."""
    rows = [row for section, rows in sections or [] if section.waits for row in rows]
    if not rows:
        return "Nothing is waiting for you."
    things = "thing is waiting" if len(rows) == 1 else "things are waiting"
    words = f"{_number_word(len(rows))} {things} for you."
    pressing = sum(1 for row in rows if row.urgency)
    if pressing:
        words += f" {_pressing_words(pressing, len(rows))} pressing."
    return words


@register.simple_tag(takes_context=True)
def block_words(context: Context, name: str) -> str:
    """The words of a block that the page fills further down, as its heading is."""
    blocks: BlockContext | None = context.render_context.get(BLOCK_CONTEXT_KEY)
    block = blocks.get_block(name) if blocks else None
    return " ".join(strip_tags(block.render(context)).split()) if block else ""


@register.simple_tag
def new_key() -> str:
    """A key for a record or a request that the client is about to make."""
    from me_office.audit.ids import new_id

    return str(new_id())
