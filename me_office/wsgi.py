"""The web process's entry point."""

import os

from django.core.wsgi import get_wsgi_application
from django.urls import reverse

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "me_office.settings")
application = get_wsgi_application()
# This loads every page: with `--preload` before web processes are forked, which then share it, else
# as each starts, and not at its first request.
reverse("first-page")
