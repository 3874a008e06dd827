"""API of the body's release."""

from django.urls import path

from cases.remains import api

app_name = "remains_api"
_CASE = "cases/<uuid:case_id>"
urlpatterns = [
    path(f"{_CASE}/body-holds/<uuid:record_id>/lift/", api.LiftHold.as_view(), name="lift-hold"),
    path(
        f"{_CASE}/cremation-requests/<uuid:record_id>/decide/",
        api.DecideCremation.as_view(),
        name="decide-cremation",
    ),
]
for name, many, voided in (
    ("body-holds", api.Holds, api.VoidHold),
    ("body-releases", api.Releases, api.VoidRelease),
    ("body-returns", api.Returns, api.VoidReturn),
    ("cremation-requests", api.Cremations, api.VoidCremation),
    ("dispositions", api.Dispositions, api.VoidDisposition),
):
    urlpatterns += [
        path(f"{_CASE}/{name}/", many.as_view(), name=name),
        path(f"{_CASE}/{name}/<uuid:record_id>/void/", voided.as_view(), name=f"void-{name}"),
    ]
