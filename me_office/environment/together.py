"""What is wrong with the environment as a whole: every fault at once, each with what to do."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Mapping
from difflib import get_close_matches
from pathlib import Path
from urllib.parse import urlsplit

from django.http.request import validate_host

from me_office.environment.checks import NO, NO_MAIL, flag_of, words_of
from me_office.environment.table import BY_NAME, COMPOSE, SETTINGS

# Names that are the office's alone: a misspelled one would otherwise be silently without effect.
OURS = ("ME_", "OFFICE_")
FOLDERS = ("ME_DATA_DIR", "ME_FILE_STORE")
# In a container it lies in the image, which nobody can change: what serves only reads it.
MAY_BE_FIXED = "ME_DATA_DIR"


def problems(given: Mapping[str, str]) -> list[str]:
    """Return every fault: the name first, then what is wrong and what to do."""
    values = {name: value.strip() for name, value in given.items()}
    found = list(_unknown(values))
    wrong = dict(_each(values))
    found += [f"{name} {said}" for name, said in wrong.items()]
    # That real servers are named is known even where the address is wrong.
    wrong.pop("DATABASE_URL", None)
    sound = {name: value for name, value in values.items() if name not in wrong}
    for rule in _TOGETHER:
        found += rule(sound)
    return found


def in_production(values: Mapping[str, str]) -> bool:
    """Tell whether real servers are named, and no test runs."""
    return bool(values.get("DATABASE_URL")) and not flag_of(values.get("ME_TESTING", ""))


def _unknown(values: Mapping[str, str]) -> Iterator[str]:
    for name in sorted(values):
        if name.startswith(OURS) and name not in BY_NAME:
            near = get_close_matches(name, BY_NAME, n=1)
            meant = (
                f"did you mean {near[0]}?" if near else "take it away; the page lists all names."
            )
            yield f"{name} is not a name that the office knows: {meant}"


def _each(values: Mapping[str, str]) -> Iterator[tuple[str, str]]:
    production = in_production(values)
    for one in SETTINGS:
        value = values.get(one.name, "")
        # Whose owner runs a try-out or a test knows; a key of theirs may be short.
        if one.group == COMPOSE or (one.name == "ME_SECRET_KEY" and not production):
            continue
        if not value:
            if one.required and production:
                yield one.name, f"must be set when DATABASE_URL is set: {one.what}"
        elif said := one.check(value):
            yield one.name, said


def _database_too(values: Mapping[str, str]) -> Iterator[str]:
    if values.get("REDIS_URL") and not values.get("DATABASE_URL"):
        yield "DATABASE_URL must be set when REDIS_URL is set: name both servers, or neither"


def _origins_are_hosts(values: Mapping[str, str]) -> Iterator[str]:
    if not in_production(values):
        return
    hosts = words_of(values.get("ME_HOSTS", ""))
    plain = values.get("ME_HTTPS", "").lower() in NO
    for word in words_of(values.get("ME_ORIGINS", "")):
        parts = urlsplit(word)
        if parts.scheme != "https" and not plain:
            yield f"ME_ORIGINS must begin with https://, not {word!r}"
        host = parts.hostname or ""
        host = f"[{host}]" if ":" in host else host
        if hosts and not validate_host(host, hosts):
            yield f"ME_ORIGINS must name hosts of ME_HOSTS, not {host!r}; add it there, or mend it"


def _bucket_is_whole(values: Mapping[str, str]) -> Iterator[str]:
    if bool(values.get("ME_S3_ACCESS_KEY")) != bool(values.get("ME_S3_SECRET_KEY")):
        yield "ME_S3_ACCESS_KEY and ME_S3_SECRET_KEY must be set together"
    if values.get("ME_S3_BUCKET"):
        return
    for name in sorted(values):
        if name.startswith("ME_S3_") and name in BY_NAME and values[name]:
            yield f"{name} has no effect without ME_S3_BUCKET: name the bucket too, or take it away"


def _mail_is_whole(values: Mapping[str, str]) -> Iterator[str]:
    server = values.get("ME_MAIL_URL", "")
    for name in ("ME_MAIL_FROM", "ME_ADMINISTRATORS"):
        if server and server != NO_MAIL and not values.get(name):
            yield f"{name} must be set when ME_MAIL_URL is set: {BY_NAME[name].what}"


def _folders_are_there(values: Mapping[str, str]) -> Iterator[str]:
    if not in_production(values):
        return
    for name in FOLDERS:
        fixed = name == MAY_BE_FIXED
        if values.get(name) and (said := why_no_folder(Path(values[name]), may_be_fixed=fixed)):
            yield f"{name} {said}"
    spool = values.get("ME_SPOOL_DIR")
    # Made by the web process; the disk that it is to lie on has to be there.
    if spool and not Path(spool).exists():
        said = why_no_folder(Path(spool).parent)
    else:
        said = why_no_folder(Path(spool)) if spool else ""
    if said:
        yield f"ME_SPOOL_DIR {said}"


def why_no_folder(path: Path, *, may_be_fixed: bool = False) -> str:
    """Return what keeps this account from keeping files in a folder, or nothing.

    `may_be_fixed`: a folder of a file system that is only read is right, too.
    """
    if not path.exists():
        return f"names a folder that is not there: make {path}, owned by the office's account"
    if not path.is_dir():
        return f"must name a folder: {path} is none"
    if may_be_fixed and os.statvfs(path).f_flag & os.ST_RDONLY:
        return ""
    if not os.access(path, os.W_OK | os.X_OK):
        return f"names a folder that this account can't write to: chown {path} to it"
    return ""


Rule = Callable[[Mapping[str, str]], Iterator[str]]
_TOGETHER: tuple[Rule, ...] = (
    _database_too,
    _origins_are_hosts,
    _bucket_is_whole,
    _mail_is_whole,
    _folders_are_there,
)
