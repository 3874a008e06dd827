from django.apps import AppConfig


class ExplanationsConfig(AppConfig):
    name = "cases.explanations"
    label = "explanations"
    verbose_name = "Standing explanations"
