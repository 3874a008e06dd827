"""Pages of cause and manner."""

from django.urls import path

from cases.certification import filing_views, views

_CASE = "cases/<uuid:case_id>/cause-and-manner"

app_name = "certification"
urlpatterns = [
    path(f"{_CASE}/", views.cause_and_manner, name="cause-and-manner"),
    path(f"{_CASE}/guidance/", views.guidance, name="guidance"),
    path(f"{_CASE}/worksheet.pdf", filing_views.worksheet, name="worksheet"),
    path(f"{_CASE}/particulars/", filing_views.particulars, name="particulars"),
    path(f"{_CASE}/registrar/", filing_views.registrar, name="registrar"),
    path(
        f"{_CASE}/registrar/<uuid:record_id>/void/",
        filing_views.withdraw_statement,
        name="withdraw-statement",
    ),
    path(f"{_CASE}/follow-up/", filing_views.follow_up, name="add-follow-up"),
    path(f"{_CASE}/follow-up/<uuid:record_id>/", filing_views.follow_up, name="follow-up"),
    path(
        f"{_CASE}/follow-up/<uuid:record_id>/void/",
        filing_views.void_follow_up,
        name="void-follow-up",
    ),
]
