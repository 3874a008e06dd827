"""API of the case file."""

from cases.api import assignment, cases, not_done, records

app_name = "cases_api"
urlpatterns = [*cases.routes, *records.routes, *not_done.routes, *assignment.routes]
