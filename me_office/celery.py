"""The Celery application: long work outside the request."""

import os

from celery import Celery

from me_office.logs import jobs

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "me_office.settings")
app = Celery("me_office")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks()
jobs.listen()
