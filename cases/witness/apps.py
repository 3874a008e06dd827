from django.apps import AppConfig


class WitnessConfig(AppConfig):
    name = "cases.witness"
    label = "witness"
    verbose_name = "Witness"
