from typing import cast

from django.apps import AppConfig
from django.conf import settings
from django.utils.module_loading import import_string


class EvidenceConfig(AppConfig):
    name = "evidence"
    label = "evidence"
    verbose_name = "Photographs, specimens, property"

    def ready(self) -> None:
        import evidence.photographs.steps
        import evidence.photographs.tasks
        import evidence.photographs.tile_tasks
        import evidence.specimens.steps  # noqa: F401
        from evidence.imaging import pictures

        # Of folder and bucket the one that is set, before web processes are forked.
        import_string(cast("dict[str, str]", settings.STORAGES["default"])["BACKEND"])
        pictures.prepare_readers(most_points=settings.PHOTOGRAPH_MAX_PIXELS)
