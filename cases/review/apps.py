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
        post_migrate.connect(_hold_moves, sender=self)


def _hold_moves(*, using: str = "default", **_: object) -> None:
    from cases.review.models import Report
    from cases.review.rules import ALLOWED_MOVES, ReportState
    from me_office.audit.moves import hold_moves

    hold_moves(Report, ALLOWED_MOVES, [ReportState.DRAFT], using=using)
