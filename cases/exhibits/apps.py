from django.apps import AppConfig


class ExhibitsConfig(AppConfig):
    name = "cases.exhibits"
    label = "exhibits"
    verbose_name = "Exhibits"
