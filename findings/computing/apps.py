from django.apps import AppConfig


class ComputingConfig(AppConfig):
    name = "findings.computing"
    label = "computing"
    verbose_name = "Calculations"

    def ready(self) -> None:
        from findings.computing import steps  # noqa: F401
