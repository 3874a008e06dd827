from django.apps import AppConfig


class JobsConfig(AppConfig):
    name = "me_office.jobs"
    label = "jobs"
    verbose_name = "Jobs"
