from django.apps import AppConfig


class ResultsConfig(AppConfig):
    name = "evidence.results"
    label = "results"
    verbose_name = "Results"

    def ready(self) -> None:
        from evidence.results import steps  # noqa: F401
