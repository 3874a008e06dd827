from django.apps import AppConfig


class MeasuringConfig(AppConfig):
    name = "evidence.measuring"
    label = "measuring"
    verbose_name = "Measuring"
