"""Pages of earlier statements."""

from django.urls import path

from cases.statements import views

app_name = "statements"
_ALL = "cases/<uuid:case_id>/statements"
_ONE = f"{_ALL}/<uuid:statement_id>"
_PASSAGE = f"{_ALL}/passages/<uuid:passage_id>"
urlpatterns = [
    path(f"{_ALL}/", views.statements, name="statements"),
    path(f"{_ALL}/list/", views.listing, name="list"),
    path(f"{_ALL}/add/", views.add_statement, name="add"),
    path(f"{_ALL}/compare/", views.compare, name="compare"),
    path(f"{_ONE}/", views.statement, name="statement"),
    path(f"{_ONE}/pages/<int:number>/", views.statement, name="page"),
    path(f"{_ONE}/edit/", views.change_statement, name="change"),
    path(f"{_ONE}/withdraw/", views.withdraw_statement, name="withdraw"),
    path(f"{_ONE}/again/", views.retry, name="retry"),
    path(f"{_ONE}/file/", views.statement_file, name="file"),
    path(f"{_PASSAGE}/", views.link_passage, name="passage"),
    path(f"{_PASSAGE}/withdraw/", views.withdraw_passage, name="withdraw-passage"),
]
