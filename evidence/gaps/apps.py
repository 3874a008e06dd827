from django.apps import AppConfig


class GapsConfig(AppConfig):
    name = "evidence.gaps"
    label = "gaps"
    verbose_name = "What the photograph log lacks"

    def ready(self) -> None:
        from evidence.gaps import pointing_out  # noqa: F401
