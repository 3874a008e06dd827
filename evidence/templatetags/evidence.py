"""Words of photographs in templates."""

from __future__ import annotations

import json
from typing import Any

from django import template

from evidence import store
from evidence.photographs.models import Photograph
from evidence.photographs.rules import behind_the_cover
from findings.models import Finding
from findings.words.plain import plainly

register = template.Library()


@register.filter
def cover(photograph: Photograph | str | None) -> str:
    """What stands on the cover of a veiled photograph: Close-up, right chest, contusion."""
    if not photograph or isinstance(photograph, str):
        return ""
    return behind_the_cover(photograph.view, photograph.region, photograph.shows)


@register.filter
def plain(finding: Finding | str | None) -> str:
    """A finding's term in plain words: A bruise. Empty where the list has none."""
    return plainly(finding) if isinstance(finding, Finding) else ""


@register.simple_tag
def pictures_away() -> bool:
    """Whether pictures can't be shown now; asks no store."""
    return store.is_away()


@register.filter
def short_digest(sha256: str | None) -> str:
    """A digest's first and last figures, for where the whole has no room."""
    return f"{sha256[:8]} … {sha256[-8:]}" if sha256 else ""


@register.filter
def outline_json(outline: Any) -> str:
    """Points of an outline for a script; empty when there is none."""
    return json.dumps(outline) if outline else ""
