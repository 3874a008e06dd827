from django.apps import AppConfig


class FixityConfig(AppConfig):
    name = "evidence.fixity"
    label = "fixity"
    verbose_name = "The store read again"

    def ready(self) -> None:
        from evidence.fixity import steps  # noqa: F401
