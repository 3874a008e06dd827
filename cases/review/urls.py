"""Pages of report and review."""

from django.urls import path

from cases.review import (
    amend_views,
    closing_views,
    compare_views,
    outside_views,
    peer_views,
    thread_views,
    views,
)

app_name = "review"
_CASE = "cases/<uuid:case_id>"
urlpatterns = [
    path(f"{_CASE}/report/", views.report, name="report"),
    path(f"{_CASE}/report/submit/", views.submit, name="submit"),
    path(f"{_CASE}/review/", views.review, name="review"),
    path(f"{_CASE}/review/compare/", compare_views.compare, name="compare"),
    path(f"{_CASE}/review/drafts/<int:number>/", compare_views.draft, name="draft"),
    path(f"{_CASE}/review/comment/", views.comment, name="comment"),
    path(f"{_CASE}/review/comments/<uuid:comment_id>/answer/", views.answer, name="answer"),
    path(f"{_CASE}/review/comments/<uuid:comment_id>/reply/", thread_views.reply, name="reply"),
    path(
        f"{_CASE}/review/comments/<uuid:comment_id>/resolve/", thread_views.resolve, name="resolve"
    ),
    path(
        f"{_CASE}/review/comments/<uuid:comment_id>/reopen/",
        thread_views.reopen,
        name="reopen-comment",
    ),
    path(f"{_CASE}/review/opinion/", peer_views.opinion, name="opinion"),
    path(f"{_CASE}/review/opinions/<uuid:opinion_id>/agree/", peer_views.agree, name="agree"),
    path(f"{_CASE}/review/opinions/<uuid:opinion_id>/settle/", peer_views.settle, name="settle"),
    path(f"{_CASE}/review/sheet/", peer_views.sheet, name="sheet"),
    path(f"{_CASE}/review/give/", peer_views.give, name="give"),
    path("review-rules/", peer_views.rules, name="rules"),
    path("review-rules/seed/", peer_views.seed, name="seed"),
    path(f"{_CASE}/review/return/", views.return_report, name="return"),
    path(f"{_CASE}/review/sign/", views.sign, name="sign"),
    path(f"{_CASE}/review/outside/", outside_views.outside, name="outside"),
    path(f"{_CASE}/review/outside/document/", outside_views.document, name="outside-document"),
    path(f"{_CASE}/review/without/", views.finish_without_review, name="without"),
    path(f"{_CASE}/amend/<slug:what>/", amend_views.amend, name="amend"),
    path(f"{_CASE}/amend/<slug:what>/<uuid:of>/", amend_views.amend, name="amend-one"),
    path(f"{_CASE}/closing/", closing_views.close, name="close"),
    path(f"{_CASE}/addenda/", views.addenda, name="addenda"),
]
