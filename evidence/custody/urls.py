"""Pages of custody."""

from django.urls import path

from evidence.custody import views

app_name = "custody"
CASE = "cases/<uuid:case_id>"
urlpatterns = [
    path(f"{CASE}/custody/", views.case, name="case"),
    path(f"{CASE}/items/<uuid:item_id>/", views.item, name="item"),
    path(f"{CASE}/items/<uuid:item_id>/transfer/", views.transfer, name="transfer"),
    path(f"{CASE}/items/<uuid:item_id>/seal/", views.seal, name="seal"),
    path(f"{CASE}/seals/<uuid:seal_id>/break/", views.break_seal, name="seal-break"),
    path(f"{CASE}/seals/<uuid:seal_id>/withdraw/", views.withdraw_seal, name="seal-withdraw"),
    path(
        f"{CASE}/transfers/<uuid:transfer_id>/withdraw/",
        views.withdraw_transfer,
        name="transfer-withdraw",
    ),
]
