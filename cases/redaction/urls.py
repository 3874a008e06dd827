"""Pages of redacting documents."""

from django.urls import path

from cases.redaction import views

app_name = "redaction"
_ALL = "cases/<uuid:case_id>/documents"
_ONE = f"{_ALL}/<uuid:document_id>"
_PAGE = f"{_ONE}/pages/<int:number>"
_COPY = f"{_ALL}/copies/<uuid:copy_id>"
_REASON = "redaction-reasons/<uuid:reason_id>"
urlpatterns = [
    path(f"{_ALL}/", views.documents, name="documents"),
    path(f"{_ALL}/open/", views.open_document, name="open"),
    path(f"{_ALL}/add/", views.add_document, name="add"),
    path(f"{_ONE}/", views.document, name="document"),
    path(f"{_PAGE}/", views.document, name="page"),
    path(f"{_PAGE}/picture.jpg", views.page_picture, name="picture"),
    path(f"{_PAGE}/words/", views.page_words, name="words"),
    path(f"{_ONE}/find/", views.find, name="find"),
    path(f"{_ONE}/marks/<uuid:mark_id>/take-back/", views.take_back, name="take-back"),
    path(f"{_ONE}/copy/", views.ask_for_copy, name="ask"),
    path(f"{_ONE}/copies/", views.copy_list, name="copies"),
    path(f"{_ONE}/copies/<uuid:copy_id>/again/", views.retry, name="retry"),
    path(f"{_ONE}/withdraw/", views.withdraw_document, name="withdraw"),
    path(f"{_COPY}/file.pdf", views.copy_file, name="copy"),
    path(f"{_COPY}/leave/", views.leave_elsewhere, name="leave"),
    path("redaction-reasons/", views.reasons, name="reasons"),
    path("redaction-reasons/add/", views.add_reason, name="add-reason"),
    path(f"{_REASON}/", views.change_reason, name="reason"),
    path(f"{_REASON}/withdraw/", views.withdraw_reason, name="withdraw-reason"),
]
