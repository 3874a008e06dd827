from django.apps import AppConfig
from django.db.models.signals import post_migrate


class CasesConfig(AppConfig):
    name = "cases"
    label = "cases"
    verbose_name = "Case file"

    def ready(self) -> None:
        from cases import steps  # noqa: F401
        from cases.history import steps as history_steps  # noqa: F401

        post_migrate.connect(_hold_moves, sender=self)


def _hold_moves(*, using: str = "default", **_: object) -> None:
    from cases.models import Case
    from cases.rules.case import ALLOWED_MOVES, CaseState
    from me_office.audit.moves import hold_moves

    hold_moves(Case, ALLOWED_MOVES, [CaseState.REPORTED], using=using)
