from django.apps import AppConfig
from django.db.models.signals import post_migrate


class AppearancesConfig(AppConfig):
    name = "cases.appearances"
    label = "appearances"
    verbose_name = "Dates in court"

    def ready(self) -> None:
        from cases.appearances import happened, steps  # noqa: F401

        post_migrate.connect(_hold_moves, sender=self)


def _hold_moves(*, using: str = "default", **_: object) -> None:
    from cases.appearances.models import Appearance
    from cases.appearances.rules import ALLOWED_MOVES, AppearanceState
    from me_office.audit.moves import hold_moves

    hold_moves(Appearance, ALLOWED_MOVES, [AppearanceState.EXPECTED], using=using)
