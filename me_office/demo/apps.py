from django.apps import AppConfig


class DemoConfig(AppConfig):
    name = "me_office.demo"
    label = "demo"
    verbose_name = "Invented office for a try-out"
