from django.apps import AppConfig


class StatementsConfig(AppConfig):
    name = "cases.statements"
    label = "statements"
    verbose_name = "Earlier statements"
