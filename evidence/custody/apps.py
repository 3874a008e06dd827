from django.apps import AppConfig


class CustodyConfig(AppConfig):
    name = "evidence.custody"
    label = "custody"
    verbose_name = "Custody"

    def ready(self) -> None:
        from evidence.custody import steps  # noqa: F401
