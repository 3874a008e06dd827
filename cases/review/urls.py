"""Pages of report and review."""

from django.urls import path

from cases.review import amend_views, closing_views, views

app_name = "review"
urlpatterns = [
    path("cases/<uuid:case_id>/report/", views.report, name="report"),
    path("cases/<uuid:case_id>/report/submit/", views.submit, name="submit"),
    path("cases/<uuid:case_id>/review/", views.review, name="review"),
    path("cases/<uuid:case_id>/review/comment/", views.comment, name="comment"),
    path(
        "cases/<uuid:case_id>/review/comments/<uuid:comment_id>/answer/",
        views.answer,
        name="answer",
    ),
    path("cases/<uuid:case_id>/review/return/", views.return_report, name="return"),
    path("cases/<uuid:case_id>/review/sign/", views.sign, name="sign"),
    path("cases/<uuid:case_id>/review/outside/", views.reviewed_outside, name="outside"),
    path("cases/<uuid:case_id>/review/without/", views.finish_without_review, name="without"),
    path("cases/<uuid:case_id>/amend/<slug:what>/", amend_views.amend, name="amend"),
    path("cases/<uuid:case_id>/amend/<slug:what>/<uuid:of>/", amend_views.amend, name="amend-one"),
    path("cases/<uuid:case_id>/closing/", closing_views.close, name="close"),
    path("cases/<uuid:case_id>/addenda/", views.addenda, name="addenda"),
]
