from django.apps import AppConfig


class AppearancesConfig(AppConfig):
    name = "cases.appearances"
    label = "appearances"
    verbose_name = "Dates in court"

    def ready(self) -> None:
        from cases.appearances import happened, steps  # noqa: F401
