from django.apps import AppConfig


class EvidenceConfig(AppConfig):
    name = "evidence"
    label = "evidence"
    verbose_name = "Photographs, specimens, property"

    def ready(self) -> None:
        from evidence import steps  # noqa: F401
