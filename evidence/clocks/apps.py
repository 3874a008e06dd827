from django.apps import AppConfig


class ClocksConfig(AppConfig):
    name = "evidence.clocks"
    label = "clocks"
    verbose_name = "Camera clocks"
