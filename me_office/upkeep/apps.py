from importlib import import_module

from django.apps import AppConfig

# Where conditions are registered; `ready` prints them in this order.
CONDITIONS = (
    "database",
    "role",
    "pages",
    "store",
    "broker",
    "jobs",
    "backups",
    "machine",
    "address",
    "mail",
    "people",
)


class UpkeepConfig(AppConfig):
    name = "me_office.upkeep"
    label = "upkeep"
    verbose_name = "Upkeep"

    def ready(self) -> None:
        """Register what is looked at."""
        for module in CONDITIONS:
            import_module(f"me_office.upkeep.parts.{module}")
        import_module("me_office.upkeep.beats")

        import me_office.upkeep.steps  # noqa: F401
