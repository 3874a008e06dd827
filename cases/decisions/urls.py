"""Pages of decisions on what may go out."""

from django.urls import path

from cases.decisions import list_views, views

app_name = "decisions"
_ONE = "cases/<uuid:case_id>/court/<uuid:request_id>"
_DEMAND = f"{_ONE}/demands/<uuid:demand_id>"
_ITEM = "cases/<uuid:case_id>/court/<uuid:request_id>/by-hand"
urlpatterns = [
    path(f"{_ITEM}/<uuid:reach_id>/attach/", views.enclose, name="enclose"),
    path(f"{_ITEM}/<uuid:reach_id>/apart/", views.apart, name="apart"),
    path(f"{_ITEM}/file/<uuid:record_id>/", views.enclosed_file, name="enclosed-file"),
    path(f"{_ITEM}/take-away/<uuid:record_id>/", views.take_away, name="take-away"),
    path(f"{_DEMAND}/", views.demand, name="demand"),
    path(f"{_DEMAND}/decide/", views.decide, name="decide"),
    path(f"{_DEMAND}/reach/", views.reach, name="reach"),
    path(f"{_DEMAND}/difference/", views.difference, name="difference"),
    path(f"{_DEMAND}/ask/", views.ask, name="ask"),
    path(f"{_ONE}/reach/<uuid:record_id>/leave-out/", views.leave_out, name="leave-out"),
    path(f"{_ONE}/questions/<uuid:record_id>/", views.answer, name="answer"),
    path(f"{_ONE}/questions/<uuid:record_id>/withdraw/", views.withdraw_look, name="withdraw-look"),
    path(f"{_ONE}/approve/", views.approve, name="approve"),
    path(f"{_ONE}/approve/<uuid:record_id>/end/", views.end_approval, name="end-approval"),
    path(f"{_ONE}/stops/new/", views.note_stop, name="note-stop"),
    path(f"{_ONE}/stops/settle/<str:stop>/", views.settle_stop, name="settle-stop"),
    path(f"{_ONE}/stops/<uuid:record_id>/lift/", views.lift_stop, name="lift-stop"),
    path(f"{_ONE}/withheld/", views.withheld, name="withheld"),
    path(f"{_ONE}/withheld.csv", views.withheld_csv, name="withheld-csv"),
    path("grounds/", list_views.grounds, name="grounds"),
    path("grounds/<uuid:record_id>/replace/", list_views.replace_ground, name="replace-ground"),
    path("grounds/<uuid:record_id>/withdraw/", list_views.withdraw_ground, name="withdraw-ground"),
    path("grounds/rules/<str:key>/", list_views.rule, name="rule"),
]
