"""Pages of requests and subpoenas."""

from django.urls import path

from cases.court import fee_views, paper_views, part_views, views

app_name = "court"
_CASE = "cases/<uuid:case_id>/court"
_ONE = f"{_CASE}/<uuid:request_id>"
_DEMAND = f"{_ONE}/demands/<uuid:record_id>"
_COUNSEL = f"{_ONE}/counsel/<uuid:record_id>"
_PAPER = f"{_ONE}/original/<uuid:record_id>"
_INVOICE = f"{_ONE}/invoices/<uuid:record_id>"
urlpatterns = [
    path("requests/", views.office_requests, name="office-requests"),
    path("requests/export.csv", views.export_requests, name="export-requests"),
    path("requests/fees/", fee_views.office_fees, name="fees"),
    path("requests/fees/new/", fee_views.add_fee, name="add-fee"),
    path("requests/fees/<uuid:record_id>/", fee_views.change_fee, name="change-fee"),
    path("requests/fees/<uuid:record_id>/withdraw/", fee_views.withdraw_fee, name="withdraw-fee"),
    path("requests/authority/", paper_views.needs, name="needs"),
    path("requests/authority/<str:key>/", paper_views.change_need, name="change-need"),
    path(f"{_CASE}/", views.requests, name="requests"),
    path(f"{_CASE}/new/", views.log_request, name="log-request"),
    path(f"{_ONE}/", views.request_page, name="request"),
    path(f"{_ONE}/original/", paper_views.original, name="original"),
    path(f"{_ONE}/original/attach/", paper_views.attach, name="attach-original"),
    path(f"{_PAPER}/file/", paper_views.original_file, name="original-file"),
    path(f"{_PAPER}/page/<int:number>/", paper_views.original_page, name="original-page"),
    path(f"{_ONE}/authority/new/", paper_views.add_authority, name="add-authority"),
    path(
        f"{_ONE}/authority/<uuid:record_id>/", paper_views.change_authority, name="change-authority"
    ),
    path(f"{_ONE}/timeline/", views.timeline, name="timeline"),
    path(f"{_ONE}/invoices/new/", fee_views.issue, name="issue-invoice"),
    path(f"{_INVOICE}/file/", fee_views.invoice_file, name="invoice-file"),
    path(f"{_INVOICE}/pay/", fee_views.pay, name="pay-invoice"),
    path(f"{_INVOICE}/waive/", fee_views.waive, name="waive-invoice"),
    path(f"{_INVOICE}/withdraw/", fee_views.withdraw, name="withdraw-invoice"),
    path(f"{_ONE}/demands/new/", part_views.add_demand, name="add-demand"),
    path(f"{_DEMAND}/edit/", part_views.change_demand, name="change-demand"),
    path(f"{_DEMAND}/withdraw/", part_views.withdraw_demand, name="withdraw-demand"),
    path(f"{_ONE}/counsel/new/", part_views.add_counsel, name="add-counsel"),
    path(f"{_COUNSEL}/edit/", part_views.change_counsel, name="change-counsel"),
    path(f"{_COUNSEL}/withdraw/", part_views.withdraw_counsel, name="withdraw-counsel"),
    path(f"{_ONE}/cases/new/", part_views.add_case, name="add-case"),
    path(f"{_ONE}/cases/<uuid:record_id>/remove/", part_views.remove_case, name="remove-case"),
    path(f"{_ONE}/edit/", views.change_request, name="change-request"),
    path(f"{_ONE}/answered/", views.close_request, name="close-request"),
    path(f"{_ONE}/withdraw/", views.withdraw_request, name="withdraw-request"),
]
