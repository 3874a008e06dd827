"""The Django project and what the whole office shares."""

from me_office.celery import app as celery_app

__all__ = ["celery_app"]
