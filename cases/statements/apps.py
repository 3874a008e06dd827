from django.apps import AppConfig


class StatementsConfig(AppConfig):
    name = "cases.statements"
    label = "statements"
    verbose_name = "Earlier statements"

    def ready(self) -> None:
        from cases.statements import steps  # noqa: F401
