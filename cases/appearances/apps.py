from django.apps import AppConfig


class AppearancesConfig(AppConfig):
    name = "cases.appearances"
    label = "appearances"
    verbose_name = "Dates in court"

    def ready(self) -> None:
        from cases.appearances import happened, steps  # noqa: F401
        from cases.appearances.models import Appearance
        from cases.appearances.rules import ALLOWED_MOVES, AppearanceState
        from me_office.audit.moves import hold_moves_after_migrate

        hold_moves_after_migrate(self, Appearance, ALLOWED_MOVES, AppearanceState.EXPECTED)
