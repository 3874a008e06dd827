"""What every process of `tests.apart` begins with: the office, loaded, and no connection open."""

from __future__ import annotations

import gc
import os
import sys

AMONG_TESTS = "pytest" in sys.modules

import django  # noqa: E402
import pytest  # noqa: E402, F401 - the main module of the run, which each process reads once more

django.setup()

from me_office.celery import app  # noqa: E402 - needs the set-up

app.loader.import_default_modules()

# What many of them need at once, loaded before they are forked: pages and their addresses, what
# signs a document, and what reads a worker's command line.
from celery.bin import celery  # noqa: E402, F401
from django.urls import reverse  # noqa: E402

from cases.signatures import pades  # noqa: E402, F401

reverse("first-page")
# Who loaded it: not the process that runs the job.
LOADED_BY = os.getpid()

# A collection would touch every page of what is loaded, and so copy it into each process anew. The
# tests' own process, which may read this as well, sees to its own.
if not AMONG_TESTS:
    gc.collect()
    gc.freeze()
