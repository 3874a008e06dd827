from django.apps import AppConfig


class CountingConfig(AppConfig):
    name = "cases.counting"
    label = "counting"
    verbose_name = "Counting of days"
