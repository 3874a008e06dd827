"""API of report and review."""

from django.urls import path

from cases.review import amend_api, api, closing_api

app_name = "review_api"
urlpatterns = [
    path("cases/<uuid:case_id>/report/", api.ReportOfExamination.as_view(), name="report"),
    path("cases/<uuid:case_id>/drafts/", api.Drafts.as_view(), name="drafts"),
    path("cases/<uuid:case_id>/comments/", api.Comments.as_view(), name="comments"),
    path(
        "cases/<uuid:case_id>/comments/<uuid:comment_id>/answer/",
        api.Answers.as_view(),
        name="answer",
    ),
    path("cases/<uuid:case_id>/decisions/", api.Decisions.as_view(), name="decisions"),
    path(
        "cases/<uuid:case_id>/amendments/cause-and-manner/",
        amend_api.CauseAndManner.as_view(),
        name="amend-cause-and-manner",
    ),
    path(
        "cases/<uuid:case_id>/amendments/decedent/",
        amend_api.TheDecedent.as_view(),
        name="amend-decedent",
    ),
    path(
        "cases/<uuid:case_id>/amendments/identification/",
        amend_api.Identity.as_view(),
        name="amend-identification",
    ),
    path(
        "cases/<uuid:case_id>/amendments/specimens/<uuid:specimen_id>/",
        amend_api.OneSpecimen.as_view(),
        name="amend-specimen",
    ),
    path("cases/<uuid:case_id>/closings/", closing_api.Closings.as_view(), name="closings"),
    path("cases/<uuid:case_id>/closings/reopen/", closing_api.Reopening.as_view(), name="reopen"),
    path("cases/<uuid:case_id>/addenda/", api.Addenda.as_view(), name="addenda"),
]
