"""Pages of certificates and signed documents, and the open page that tells of a code."""

from django.urls import path

from cases.signatures import verify_views, views

app_name = "signatures"
_CASE = "cases/<uuid:case_id>/signatures"
urlpatterns = [
    path("certificates/", views.certificates, name="certificates"),
    *(
        path(f"certificates/{way}/", views.add, {"way": way}, name=f"add-{way}")
        for way in views.WAYS
    ),
    path("certificates/<uuid:certificate_id>/revoke/", views.revoke, name="revoke"),
    path("verify/", verify_views.verify, name="verify"),
    path("verify/root.pem", verify_views.root, name="root"),
    path("verify/revoked.crl", verify_views.revoked, name="revoked"),
    path(f"{_CASE}/second/<uuid:addendum_id>/", views.sign_second, name="sign-second"),
    path(f"{_CASE}/", views.documents, name="documents"),
    path(f"{_CASE}/<uuid:document_id>.pdf", views.document_pdf, name="document-pdf"),
]
