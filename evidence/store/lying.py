"""What lies in the store, whoever names it."""

from __future__ import annotations

from collections.abc import Iterator

from django.core.files.storage import default_storage

INCOMING = "incoming"
MARK = "office.json"


def folders(*, after: str = "") -> Iterator[tuple[str, list[str]]]:
    """Yield each folder of the store behind one, with the full names of its files, all in order.

    The store itself is the folder "/". What is unfinished and the store's own mark are left out.
    """
    for folder, names in _below(""):
        folder = folder or "/"
        if not after or folder.strip("/").split("/") > after.strip("/").split("/"):
            yield folder, [name for name in names if name != MARK]


def is_empty() -> bool:
    """Tell whether no finished file lies in the store."""
    return not any(names for _, names in folders())


def _below(folder: str) -> Iterator[tuple[str, list[str]]]:
    try:
        inner, files = default_storage.listdir(folder)
    except FileNotFoundError:
        return
    before = f"{folder}/" if folder else ""
    yield folder, [f"{before}{name}" for name in sorted(files) if name]
    for name in sorted(inner):
        if before or name != INCOMING:
            yield from _below(f"{before}{name}")
