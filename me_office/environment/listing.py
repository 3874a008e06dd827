"""The table of settings as the production page has it."""

from __future__ import annotations

from me_office.environment.table import COMMANDS, COMPOSE, OFFICE, SETTINGS, TRY_OUT, Setting

BEGIN, END = "<!-- settings -->\n", "<!-- end of settings -->\n"
HEADS = {
    OFFICE: "Settings of the office",
    COMMANDS: "Of one command",
    COMPOSE: "Of docker-compose.yml alone",
    TRY_OUT: "Of try-outs and tests alone",
}


def listing() -> str:
    """Return every name by who reads it, as Markdown."""
    parts = []
    for group, head in HEADS.items():
        rows = "".join(_row(one) for one in SETTINGS if one.group == group)
        parts.append(f"**{head}**\n\n| name | what it is | if unset |\n| --- | --- | --- |\n{rows}")
    return "\n".join(parts)


def _row(one: Setting) -> str:
    secret = " (secret)" if one.secret else ""
    if one.required:
        unset = "refused"
    else:
        unset = one.unset or (f"`{one.default}`" if one.default else "none")
    return f"| `{one.name}`{secret} | {one.what} | {unset} |\n"
