"""Calculation API."""

from django.urls import path

from findings.computing import api

app_name = "computing_api"

CASE = "cases/<uuid:case_id>/calculations/"
urlpatterns = [
    path("calculations/", api.MethodsView.as_view(), name="methods"),
    path("calculations/<slug:method>/", api.MethodView.as_view(), name="method"),
    path(CASE, api.CalculationsView.as_view(), name="calculations"),
    path(f"{CASE}<uuid:calculation_id>/", api.CalculationView.as_view(), name="calculation"),
    path(f"{CASE}<uuid:calculation_id>/void/", api.CalculationVoidView.as_view(), name="void"),
]
