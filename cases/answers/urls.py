"""Pages of answers to requests, and of the numbers of their pages."""

from django.urls import path

from cases.answers import pick_up, views

app_name = "answers"
_CASE = "cases/<uuid:case_id>"
_ONE = f"{_CASE}/answers/<uuid:answer_id>"
urlpatterns = [
    path(f"{_CASE}/answers/", views.answers, name="answers"),
    path(f"{_CASE}/court/<uuid:request_id>/answer/", views.ask, name="ask"),
    path(f"{_ONE}/", views.answer, name="answer"),
    path(f"{_ONE}/retry/", views.retry_answer, name="retry-answer"),
    path(f"{_ONE}/answer.zip", views.download_answer, name="download-answer"),
    path(f"{_ONE}/deliver/", views.deliver, name="deliver"),
    path(f"{_CASE}/deliveries/<uuid:delivery_id>/call-back/", views.call_back, name="call-back"),
    path("pick-up/<str:token>/", pick_up.pick_up, name="pick-up"),
    path("pick-up/<str:token>/packet.zip", pick_up.fetch, name="fetch"),
    path("custodian-certificate/", views.certificate, name="certificate"),
    path("page-numbers/", views.find_page, name="find-page"),
    path("page-numbers/series/", views.page_series, name="page-series"),
]
