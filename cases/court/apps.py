from django.apps import AppConfig


class CourtConfig(AppConfig):
    name = "cases.court"
    label = "court"
    verbose_name = "Requests and court"

    def ready(self) -> None:
        from cases.court import sections, steps  # noqa: F401
