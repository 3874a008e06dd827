from django.apps import AppConfig


class RedactionConfig(AppConfig):
    name = "cases.redaction"
    label = "redaction"
    verbose_name = "Redaction of documents"

    def ready(self) -> None:
        from cases.redaction import own_sources  # noqa: F401
