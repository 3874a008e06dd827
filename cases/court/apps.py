from django.apps import AppConfig


class CourtConfig(AppConfig):
    name = "cases.court"
    label = "court"
    verbose_name = "Requests and court"

    def ready(self) -> None:
        from cases.court import sections, steps  # noqa: F401
        from cases.court.models import RecordsRequest
        from cases.court.rules import ALLOWED_MOVES, RequestState
        from me_office.audit.moves import hold_moves_after_migrate

        hold_moves_after_migrate(self, RecordsRequest, ALLOWED_MOVES, RequestState.OPEN)
