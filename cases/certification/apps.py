from django.apps import AppConfig


class CertificationConfig(AppConfig):
    name = "cases.certification"
    label = "certification"
    verbose_name = "Cause and manner"

    def ready(self) -> None:
        from cases.certification import steps  # noqa: F401
