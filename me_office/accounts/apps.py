from django.apps import AppConfig
from django.db.models.signals import post_migrate


def make_role_groups(**_: object) -> None:
    """Every role is a group; make the missing ones after a migration."""
    from django.contrib.auth.models import Group

    from me_office.accounts.roles import Role

    for role in Role:
        Group.objects.get_or_create(name=role.value)


class AccountsConfig(AppConfig):
    name = "me_office.accounts"
    label = "accounts"
    verbose_name = "Staff and sign-in"

    def ready(self) -> None:
        post_migrate.connect(make_role_groups, sender=self)
