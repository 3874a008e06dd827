from django.apps import AppConfig


class MeasuresConfig(AppConfig):
    name = "cases.measures"
    label = "measures"
    verbose_name = "What is waiting, and measures"
