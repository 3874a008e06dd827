from django.apps import AppConfig


class DraftingConfig(AppConfig):
    name = "cases.drafting"
    label = "drafting"
    verbose_name = "Short keys and spelling"

    def ready(self) -> None:
        from me_office.shell.case_scripts import CaseScript, register

        register(CaseScript("drafting/js/short_keys.js", "drafting:keys"))
