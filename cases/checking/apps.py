from django.apps import AppConfig


class CheckingConfig(AppConfig):
    name = "cases.checking"
    label = "checking"
    verbose_name = "Completeness and consistency"
