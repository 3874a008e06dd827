"""API of exhibits."""

from django.urls import path

from cases.exhibits import api, redaction_api

app_name = "exhibits_api"
_CASE = "cases/<uuid:case_id>"
_SET = f"{_CASE}/exhibit-sets/<uuid:set_id>"
_ONE = f"{_CASE}/exhibits/<uuid:exhibit_id>"
urlpatterns = [
    path(f"{_CASE}/exhibit-sets/", api.ExhibitSets.as_view(), name="sets"),
    path(f"{_SET}/", api.OneExhibitSet.as_view(), name="set"),
    path(f"{_SET}/withdraw/", api.WithdrawExhibitSet.as_view(), name="withdraw-set"),
    path(f"{_SET}/exhibits/", api.ExhibitsOfSet.as_view(), name="exhibits"),
    path(f"{_ONE}/", api.OneExhibit.as_view(), name="exhibit"),
    path(f"{_ONE}/move/", api.MoveExhibit.as_view(), name="move-exhibit"),
    path(f"{_ONE}/remove/", api.RemoveExhibit.as_view(), name="remove-exhibit"),
    path(
        f"{_CASE}/photographs/<uuid:photograph_id>/redactions/",
        redaction_api.RedactionsOfPhotograph.as_view(),
        name="redactions",
    ),
    path(
        f"{_CASE}/redaction-requests/<uuid:request_id>/",
        redaction_api.OneRedactionRequest.as_view(),
        name="redaction-request",
    ),
    path(
        f"{_CASE}/redaction-requests/<uuid:request_id>/retry/",
        redaction_api.RetryRedaction.as_view(),
        name="retry-redaction",
    ),
    path(
        f"{_CASE}/redactions/<uuid:redaction_id>/take-back/",
        redaction_api.TakeBackRedaction.as_view(),
        name="take-back-redaction",
    ),
]
