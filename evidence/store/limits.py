"""A limit of time for a folder, which has none of its own.

A process that waits for a file server that hangs can't be told to go on, and neither can a thread.
So the thread that waits is another one, and whoever asked goes on without an answer. What waits in
vain stays until the server answers; after a few nobody asks for a while (`Breaker`), so that they
do not become many. What hangs after a file was opened is not helped by this.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from queue import Empty, SimpleQueue
from typing import TypeVar

from evidence.store.away import Breaker, StoreAway
from evidence.store.patience import answered

AnswerT = TypeVar("AnswerT")
SECONDS = 5.0

folder_breaker = Breaker()


def within_limit(
    ask: Callable[[], AnswerT], *, too_late: Callable[[AnswerT], object] = lambda answer: None
) -> AnswerT:
    """Return what `ask` returns or raise what it raises. Raises StoreAway where that takes long.

    `ask` runs in another thread: it must not use the database. An answer for which nobody waits any
    more is given to `too_late`.
    """
    return answered(lambda: _within_limit(ask, too_late))


def _within_limit(ask: Callable[[], AnswerT], too_late: Callable[[AnswerT], object]) -> AnswerT:
    answers: SimpleQueue[tuple[AnswerT, None] | tuple[None, BaseException]] = SimpleQueue()
    gone, deciding = threading.Event(), threading.Lock()

    def asked() -> None:
        try:
            answer = ask()
        except BaseException as error:
            answers.put((None, error))
            return
        with deciding:
            if not gone.is_set():
                answers.put((answer, None))
                return
        too_late(answer)

    with folder_breaker.asking():
        threading.Thread(target=asked, daemon=True).start()
        try:
            answer, error = answers.get(timeout=SECONDS)
        except Empty:
            with deciding:
                gone.set()
            if answers.empty():
                raise StoreAway(f"no answer in {SECONDS:g} seconds") from None
            answer, error = answers.get()  # it came in this moment
        if error is not None:
            raise error
        return answer  # type: ignore[return-value]
