from django.apps import AppConfig


class IntakeConfig(AppConfig):
    name = "evidence.intake"
    label = "intake"
    verbose_name = "Photographs that come in"
