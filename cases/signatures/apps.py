from django.apps import AppConfig


class SignaturesConfig(AppConfig):
    name = "cases.signatures"
    label = "signatures"
    verbose_name = "Signatures and certificates"

    def ready(self) -> None:
        from cases.review import announced
        from cases.signatures import steps  # noqa: F401
        from cases.signatures.announced import follows

        announced.register(follows)
