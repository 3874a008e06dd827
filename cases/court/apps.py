from django.apps import AppConfig
from django.db.models.signals import post_migrate


class CourtConfig(AppConfig):
    name = "cases.court"
    label = "court"
    verbose_name = "Requests and court"

    def ready(self) -> None:
        from cases.court import steps  # noqa: F401

        post_migrate.connect(_hold_moves, sender=self)


def _hold_moves(*, using: str = "default", **_: object) -> None:
    from cases.court.models import RecordsRequest
    from cases.court.rules import ALLOWED_MOVES, RequestState
    from me_office.audit.moves import hold_moves

    hold_moves(RecordsRequest, ALLOWED_MOVES, [RequestState.OPEN], using=using)
