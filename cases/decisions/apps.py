from django.apps import AppConfig


class DecisionsConfig(AppConfig):
    name = "cases.decisions"
    label = "decisions"
    verbose_name = "What may go out"

    def ready(self) -> None:
        # Its readers of items and its texts are known once it is imported.
        from cases.decisions import awaiting, documents, items, steps  # noqa: F401
