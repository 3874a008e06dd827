from django.apps import AppConfig


class CalendarsConfig(AppConfig):
    name = "cases.calendars"
    label = "calendars"
    verbose_name = "Calendars"

    def ready(self) -> None:
        from cases.calendars import clashing  # noqa: F401
