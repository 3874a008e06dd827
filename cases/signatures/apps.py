from django.apps import AppConfig


class SignaturesConfig(AppConfig):
    name = "cases.signatures"
    label = "signatures"
    verbose_name = "Signatures and certificates"
