"""Who signed what when, who reviewed, and when a review may be left out. No database."""

from __future__ import annotations

from collections.abc import Collection, Sequence

Kinds = Sequence[tuple[str, str]]  # kinds of examination and their words, in the office's order


def kinds_in_words(named: Collection[str], kinds: Kinds) -> str:
    """Return the named kinds in their own words, in the order in which a form offers them."""
    return "; ".join(words for kind, words in kinds if kind in named)


def waiver_rule(stated: str, waived_for: Collection[str], kinds: Kinds) -> str:
    """Return the rule as it is printed: in the office's own words, or made of what it names."""
    if stated or not waived_for:
        return stated if waived_for else ""
    named = kinds_in_words(waived_for, kinds)
    return f"By the rule of this office, peer review may be left out for: {named}"


def why_not_waived(kind: str, waived_for: Collection[str], kinds: Kinds) -> str:
    """Return why a report on this kind of examination needs a review; empty if it may do without.

    `waived_for` are the kinds that the office's own written rule names.
    """
    if kind in waived_for:
        return ""
    if not waived_for:
        return "This office has no rule by which peer review may be left out."
    named = kinds_in_words(waived_for, kinds)
    return f"By the office's rule peer review may be left out only for: {named}."


def review_words(
    *,
    outcome: str,
    who: str,
    when: str,
    rule: str = "",
    why: str = "",
    outside: str = "",
    document: str = "",
    digest: str = "",
) -> str:
    """Return the sentence that says, on page and print, who reviewed a finished report.

    `outside` names the reviewer with license, office and day.
    """
    if outcome == "signed":
        return f"Reviewed and signed by {who}, {when}."
    if outcome == "outside":
        file = f" (SHA-256 {digest})" if digest else ""
        return (
            f"Reviewed outside the office by {outside}. Shown by: {document.rstrip('.')}{file}. "
            f"Recorded by {who}, {when}."
        )
    if outcome == "waived":
        said = " ".join(f"{part.rstrip('.')}." for part in (rule, why) if part)
        return f"Not peer reviewed: {said} Finished by {who}, {when}."
    return f"Sent back by {who}, {when}."
