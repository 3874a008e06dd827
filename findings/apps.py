from django.apps import AppConfig


class FindingsConfig(AppConfig):
    name = "findings"
    label = "findings"
    verbose_name = "Examination and findings"

    def ready(self) -> None:
        from findings import checks, steps  # noqa: F401
