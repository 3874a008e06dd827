"""The Django project and what the whole office shares."""

import atexit
import gc

# What a process loads is made for good, and most of it in circles. Looking for garbage among it as
# often as Python does by itself takes an eighth of every start; taking it apart at the end, where
# all memory goes anyway, a quarter of whatever is short.
gc.set_threshold(100_000, 50, 50)
atexit.register(gc.freeze)

from me_office.celery import app as celery_app  # noqa: E402 - reads the office

__all__ = ["celery_app"]
