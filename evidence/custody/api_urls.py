"""API of custody."""

from django.urls import path

from evidence.custody import api, receipt_api

app_name = "custody_api"
CASE = "cases/<uuid:case_id>"
urlpatterns = [
    path(f"{CASE}/receipts/", receipt_api.ReceiptsView.as_view(), name="receipts"),
    path(
        f"{CASE}/receipts/<uuid:receipt_id>/void/",
        receipt_api.ReceiptVoidView.as_view(),
        name="receipt-void",
    ),
    path(f"{CASE}/items/", api.ItemsView.as_view(), name="items"),
    path(f"{CASE}/items/<uuid:item_id>/", api.ItemView.as_view(), name="item"),
    path(f"{CASE}/items/<uuid:item_id>/transfers/", api.TransfersView.as_view(), name="transfers"),
    path(f"{CASE}/items/<uuid:item_id>/seals/", api.SealsView.as_view(), name="seals"),
    path(
        f"{CASE}/transfers/<uuid:transfer_id>/void/",
        api.TransferVoidView.as_view(),
        name="transfer-void",
    ),
    path(f"{CASE}/seals/<uuid:seal_id>/break/", api.SealBreakView.as_view(), name="seal-break"),
    path(f"{CASE}/seals/<uuid:seal_id>/void/", api.SealVoidView.as_view(), name="seal-void"),
]
