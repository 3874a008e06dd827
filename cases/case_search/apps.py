from django.apps import AppConfig


class CaseSearchConfig(AppConfig):
    name = "cases.case_search"
    label = "case_search"
    verbose_name = "Search within a case"
