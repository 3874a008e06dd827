"""Pages of custody."""

from django.urls import path

from evidence.custody import receipt_views, views

app_name = "custody"
CASE = "cases/<uuid:case_id>"
ITEM = f"{CASE}/items/<uuid:item_id>"
SEAL = f"{CASE}/seals/<uuid:seal_id>"
RECEIPT = f"{CASE}/receipts/<uuid:receipt_id>"
TRANSFER = f"{CASE}/transfers/<uuid:transfer_id>"
urlpatterns = [
    path(f"{CASE}/custody/", views.case, name="case"),
    path(f"{CASE}/receipts/hand-over/", receipt_views.hand_over, name="hand-over"),
    path(f"{RECEIPT}/", receipt_views.receipt, name="receipt"),
    path(f"{RECEIPT}/receipt.pdf", receipt_views.receipt_pdf, name="receipt-pdf"),
    path(f"{RECEIPT}/withdraw/", receipt_views.withdraw_receipt, name="receipt-withdraw"),
    path(f"{ITEM}/", views.item, name="item"),
    path(f"{ITEM}/transfer/", views.act_on_item, {"act": "transfer"}, "transfer"),
    path(f"{ITEM}/seal/", views.act_on_item, {"act": "seal"}, "seal"),
    path(f"{SEAL}/break/", views.break_seal, name="seal-break"),
    path(f"{SEAL}/withdraw/", views.withdraw_entry, {"entry": "seal"}, "seal-withdraw"),
    path(f"{TRANSFER}/withdraw/", views.withdraw_entry, {"entry": "transfer"}, "transfer-withdraw"),
]
