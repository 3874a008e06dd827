#!/usr/bin/env python
"""Django's command line for the office."""

import gc
import os
import sys
import warnings

from django.core.exceptions import ImproperlyConfigured
from django.core.management import execute_from_command_line

if __name__ == "__main__":
    # Migrating makes the models of the office hundreds of times, in circles: looking for garbage as
    # often as Python does by itself took a quarter of the time.
    gc.set_threshold(100_000, 50, 50)
    if "makemigrations" in sys.argv[1:2]:
        # Models are compared with files; that no server runs to compare with is no fault.
        warnings.filterwarnings("ignore", "Got an error checking a consistent migration history")
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "me_office.settings")
    try:
        execute_from_command_line(sys.argv)
    except ImproperlyConfigured as error:
        # For who keeps the machine: what is wrong and what to do, not where the code noticed.
        sys.exit(str(error))
