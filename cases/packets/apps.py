from django.apps import AppConfig


class PacketsConfig(AppConfig):
    name = "cases.packets"
    label = "packets"
    verbose_name = "Packets"

    def ready(self) -> None:
        from cases.packets import sent, steps  # noqa: F401
