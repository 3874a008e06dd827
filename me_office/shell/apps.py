from django.apps import AppConfig


class ShellConfig(AppConfig):
    name = "me_office.shell"
    label = "shell"
    verbose_name = "Page frame"
