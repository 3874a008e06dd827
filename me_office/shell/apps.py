from django.apps import AppConfig


class ShellConfig(AppConfig):
    name = "me_office.shell"
    label = "shell"
    verbose_name = "Page frame"

    def ready(self) -> None:
        """Let the API read every moment as the forms do."""
        from me_office.shell.api_moment import use_for_models

        use_for_models()
