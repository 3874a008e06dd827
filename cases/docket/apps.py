from django.apps import AppConfig


class DocketConfig(AppConfig):
    name = "cases.docket"
    label = "docket"
    verbose_name = "Board of requests"

    def ready(self) -> None:
        from cases.docket import court_side, letter_values, steps  # noqa: F401
