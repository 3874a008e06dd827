from django.apps import AppConfig


class RemainsConfig(AppConfig):
    name = "cases.remains"
    label = "remains"
    verbose_name = "Release and disposition"

    def ready(self) -> None:
        from cases.remains import steps  # noqa: F401
