from django.apps import AppConfig


class CasesConfig(AppConfig):
    name = "cases"
    label = "cases"
    verbose_name = "Case file"

    def ready(self) -> None:
        from cases import steps  # noqa: F401
        from cases.history import steps as history_steps  # noqa: F401
        from cases.models import Case
        from cases.rules.case import ALLOWED_MOVES, CaseState
        from me_office.audit.moves import hold_moves_after_migrate

        hold_moves_after_migrate(self, Case, ALLOWED_MOVES, CaseState.REPORTED)
