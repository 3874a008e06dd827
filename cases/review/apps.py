from django.apps import AppConfig
from django.db.models.signals import post_migrate


class ReviewConfig(AppConfig):
    name = "cases.review"
    label = "review"
    verbose_name = "Peer review and sign-off"

    def ready(self) -> None:
        from cases.review import steps  # noqa: F401
        from cases.review.lock import lock_tables
        from cases.review.models import Report
        from cases.review.rules import ALLOWED_MOVES, ReportState
        from me_office.audit.moves import hold_moves_after_migrate

        post_migrate.connect(lock_tables, sender=self)
        hold_moves_after_migrate(self, Report, ALLOWED_MOVES, ReportState.DRAFT)
