"""What a command says in the end where the store is away, or not as it should be."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from django.core.management.base import CommandError

from evidence.store.away import StoreAway
from evidence.store.faults import StoreFault
from evidence.store.marking import WrongStore
from evidence.store.patience import IN_ALL_SECONDS, Patience, Say, patient


@contextmanager
def for_a_command(say: Say, *, then: str) -> Iterator[None]:
    """Be patient in the block; what is wrong with the store ends it with one line.

    `then` says what is so now, and what to do next. Raises CommandError.
    """
    with patient(say) as patience:
        try:
            yield
        except StoreAway as error:
            raise CommandError(f"{_in_words(error, patience)} {then}") from error
        except (StoreFault, WrongStore) as error:
            raise CommandError(f"{error} {then}") from error
        except OSError as error:
            raise CommandError(f"{error}. {then}") from error


def _in_words(error: StoreAway, patience: Patience) -> str:
    if not error.passing:
        return (
            f"The file store refuses the office ({error.why}). Look at the key and its rights, and "
            "at the bucket's name and region."
        )
    return (
        f"The file store is not answering ({patience.why or 'not asked'}); it was waited for, "
        f"{IN_ALL_SECONDS / 60:.0f} minutes in all. Look at the bucket's server and the line to "
        "it, or at the folder's disk."
    )
