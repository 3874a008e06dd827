from django.apps import AppConfig


class LettersConfig(AppConfig):
    name = "cases.letters"
    label = "letters"
    verbose_name = "Letters"

    def ready(self) -> None:
        from cases.letters import court_side, court_values, standard  # noqa: F401
        from cases.letters.models import Letter
        from cases.letters.rules import ALLOWED_MOVES, LetterState
        from me_office.audit.moves import hold_moves_after_migrate

        hold_moves_after_migrate(self, Letter, ALLOWED_MOVES, LetterState.DRAFT)
