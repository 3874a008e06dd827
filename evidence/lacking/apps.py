from django.apps import AppConfig


class LackingConfig(AppConfig):
    name = "evidence.lacking"
    label = "lacking"
    verbose_name = "What the photograph log lacks"
