from django.apps import AppConfig
from django.conf import settings


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

        pictures.prepare_readers(most_points=settings.PHOTOGRAPH_MAX_PIXELS)
