from django.apps import AppConfig


class AnswersConfig(AppConfig):
    name = "cases.answers"
    label = "answers"
    verbose_name = "Answers to requests"
