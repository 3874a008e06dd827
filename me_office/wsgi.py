"""The web process's entry point."""

import os

from django.core.wsgi import get_wsgi_application
from django.urls import reverse

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "me_office.settings")
application = get_wsgi_application()
# This loads every page. Done here, it is done before web processes are forked, which share it; else
# each would do it at its first request, and keep the memory for itself.
reverse("first-page")
