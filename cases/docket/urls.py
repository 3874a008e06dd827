"""Pages of the board."""

from django.urls import path

from cases.docket import order_views, views

app_name = "docket"
_ONE = "cases/<uuid:case_id>/court/<uuid:request_id>"
_ORDER = "cases/<uuid:case_id>/protective-orders/<uuid:record_id>"
urlpatterns = [
    path("requests/board/", views.board, name="board"),
    path("requests/board/export.csv", views.export_board, name="export-board"),
    path("requests/figures/", views.figures, name="figures"),
    path("requests/figures/export.csv", views.export_figures, name="export-figures"),
    path("requests/figures/<slug:key>/", views.figure, name="figure"),
    path("requests/figures/<slug:key>/export.csv", views.export_figure, name="export-figure"),
    path(f"{_ONE}/handled-by/", views.give, name="give"),
    path(f"{_ONE}/protective-orders/new/", order_views.add, name="add-order"),
    path(f"{_ORDER}/edit/", order_views.change, name="change-order"),
    path(f"{_ORDER}/copies/", order_views.ended, name="copies"),
    path(f"{_ORDER}/withdraw/", order_views.withdraw, name="withdraw-order"),
]
