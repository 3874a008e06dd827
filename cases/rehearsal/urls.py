"""Pages of rehearsal."""

from django.urls import path

from cases.rehearsal import views

app_name = "rehearsal"
_SET = "cases/<uuid:case_id>/exhibits/<uuid:set_id>"
_ONE = f"{_SET}/exhibits/<uuid:exhibit_id>/rehearsal"
_WHOLE = f"{_SET}/rehearsal/whole"
_OWN = "cases/<uuid:case_id>/rehearsal/questions/<uuid:question_id>"
urlpatterns = [
    path(f"{_SET}/rehearsal/", views.rehearsal, name="rehearsal"),
    path(f"{_WHOLE}/", views.rehearse, name="whole"),
    path(f"{_WHOLE}/mark/", views.mark, name="mark-whole"),
    path(f"{_WHOLE}/add/", views.add_question, name="add-whole"),
    path(f"{_ONE}/", views.rehearse, name="exhibit"),
    path(f"{_ONE}/mark/", views.mark, name="mark"),
    path(f"{_ONE}/add/", views.add_question, name="add"),
    path(f"{_OWN}/", views.change_question, name="change"),
    path(f"{_OWN}/withdraw/", views.withdraw_question, name="withdraw"),
]
