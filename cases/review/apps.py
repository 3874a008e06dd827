from django.apps import AppConfig
from django.db.models.signals import post_migrate


class ReviewConfig(AppConfig):
    name = "cases.review"
    label = "review"
    verbose_name = "Peer review and sign-off"

    def ready(self) -> None:
        from cases.review import steps  # noqa: F401
        from cases.review.lock import lock_tables

        post_migrate.connect(lock_tables, sender=self)
