"""What a short key and a word of the office may be, and which blanks are left. Pure."""

from __future__ import annotations

import re

from me_office.entries import Entry

# A place that whoever uses the text fills in.
BLANK = "[ ]"
_KEY = re.compile(r"[a-z0-9][a-z0-9-]{1,23}")
_WORD = re.compile(r"[^\W\d_]+(?:[’'-][^\W\d_]+)*")


def key_as_kept(typed: str) -> str:
    """A short key without the slash and in small letters."""
    return typed.strip().removeprefix("/").lower()


def word_as_kept(typed: str) -> str:
    """A word with the apostrophe that the report prints."""
    return typed.strip().replace("'", "’")


def wrong_in_key(entry: Entry) -> dict[str, str]:
    """Return what cannot be said of a short key, by field."""
    wrong: dict[str, str] = {}
    if not _KEY.fullmatch(str(entry.get("key") or "")):
        wrong["key"] = "2 to 24 letters, digits or hyphens, without blanks."
    if not str(entry.get("text") or "").strip():
        wrong["text"] = "Enter the text that takes its place."
    return wrong


def wrong_in_word(entry: Entry) -> dict[str, str]:
    """Return what cannot be said of a word, by field."""
    if not _WORD.fullmatch(str(entry.get("word") or "")):
        return {"word": "One word, of letters, hyphens and apostrophes."}
    return {}


def blanks_in(text: str) -> int:
    """How many blanks of a text are still to be filled in."""
    return text.count(BLANK)
