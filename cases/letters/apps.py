from django.apps import AppConfig


class LettersConfig(AppConfig):
    name = "cases.letters"
    label = "letters"
    verbose_name = "Letters"

    def ready(self) -> None:
        from cases.letters import court_side, court_values, standard  # noqa: F401
