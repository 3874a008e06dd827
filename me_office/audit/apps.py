from django.apps import AppConfig
from django.db.models.signals import post_migrate


class AuditConfig(AppConfig):
    name = "me_office.audit"
    label = "audit"
    verbose_name = "Audit trail"

    def ready(self) -> None:
        from me_office.audit import address  # noqa: F401  its check of a deployment
        from me_office.audit.guard import guard_tables
        from me_office.audit.moves import hold_all_moves

        post_migrate.connect(guard_tables, sender=self)
        post_migrate.connect(hold_all_moves, sender=self)
