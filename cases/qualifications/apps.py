from django.apps import AppConfig


class QualificationsConfig(AppConfig):
    name = "cases.qualifications"
    label = "qualifications"
    verbose_name = "Curricula vitae"

    def ready(self) -> None:
        from cases.qualifications import steps  # noqa: F401
