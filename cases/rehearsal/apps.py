from django.apps import AppConfig


class RehearsalConfig(AppConfig):
    name = "cases.rehearsal"
    label = "rehearsal"
    verbose_name = "Rehearsal"

    def ready(self) -> None:
        from cases.rehearsal import statements  # noqa: F401
