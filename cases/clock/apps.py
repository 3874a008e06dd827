from django.apps import AppConfig


class ClockConfig(AppConfig):
    name = "cases.clock"
    label = "clock"
    verbose_name = "Due days of requests"

    def ready(self) -> None:
        from cases.clock import first, sections, steps  # noqa: F401
