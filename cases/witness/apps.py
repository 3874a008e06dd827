from django.apps import AppConfig


class WitnessConfig(AppConfig):
    name = "cases.witness"
    label = "witness"
    verbose_name = "Witness"

    def ready(self) -> None:
        from cases.witness import notes, steps  # noqa: F401
