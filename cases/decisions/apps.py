from django.apps import AppConfig


class DecisionsConfig(AppConfig):
    name = "cases.decisions"
    label = "decisions"
    verbose_name = "What may go out"
