from django.apps import AppConfig


class EvidenceConfig(AppConfig):
    name = "evidence"
    label = "evidence"
    verbose_name = "Photographs, specimens, property"

    def ready(self) -> None:
        from evidence import pictures, steps, tile_tasks  # noqa: F401

        pictures.prepare_readers()
