from django.apps import AppConfig


class ReviewConfig(AppConfig):
    name = "cases.review"
    label = "review"
    verbose_name = "Peer review and sign-off"

    def ready(self) -> None:
        from cases.review import steps  # noqa: F401
