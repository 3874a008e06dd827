from django.apps import AppConfig


class CasesConfig(AppConfig):
    name = "cases"
    label = "cases"
    verbose_name = "Case file"

    def ready(self) -> None:
        from cases import steps  # noqa: F401
        from cases.history import steps as history_steps  # noqa: F401
