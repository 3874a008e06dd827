from django.apps import AppConfig


class AnswersConfig(AppConfig):
    name = "cases.answers"
    label = "answers"
    verbose_name = "Answers to requests"

    def ready(self) -> None:
        from cases.answers import steps  # noqa: F401
