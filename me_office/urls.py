"""Addresses of the service."""

from allauth.account import views as account_views
from django.urls import include, path
from drf_spectacular.views import SpectacularAPIView

from cases.views.first import first_page
from me_office.shell.accessibility_page import accessibility_page
from me_office.shell.addresses import Addresses
from me_office.shell.health import health
from me_office.shell.statement_page import statement_page
from me_office.upkeep.route import route

_routes = [
    path("", first_page, name="first-page"),
    path("health/", health, name="health"),
    path("health/route/", route, name="route"),
    path("help/accessibility/", accessibility_page, name="accessibility"),
    path("help/statements/", statement_page, name="statements"),
    path("sign-in/", account_views.login, name="account_login"),
    path("sign-out/", account_views.logout, name="account_logout"),
    # Before the pages, whose addresses all begin otherwise: none of them is tried for a call.
    path(
        "api/",
        include(
            [
                path("schema/", SpectacularAPIView.as_view(), name="api-schema"),
                path("", include("me_office.accounts.api_urls")),
                path("", include("cases.api_urls")),
                path("", include("cases.certification.api_urls")),
                path("", include("cases.checking.api_urls")),
                path("", include("cases.drafting.api_urls")),
                path("", include("cases.review.api_urls")),
                path("", include("cases.signatures.api_urls")),
                path("", include("cases.remains.api_urls")),
                path("", include("cases.counting.api_urls")),
                path("", include("cases.clock.api_urls")),
                path("", include("cases.calendars.api_urls")),
                path("", include("cases.court.api_urls")),
                path("", include("cases.letters.api_urls")),
                path("", include("cases.decisions.api_urls")),
                path("", include("cases.packets.api_urls")),
                path("", include("cases.docket.api_urls")),
                path("", include("cases.answers.api_urls")),
                path("", include("cases.exhibits.api_urls")),
                path("", include("cases.case_search.api_urls")),
                path("", include("cases.explanations.api_urls")),
                path("", include("cases.witness.api_urls")),
                path("", include("cases.rehearsal.api_urls")),
                path("", include("cases.redaction.api_urls")),
                path("", include("cases.statements.api_urls")),
                path("", include("cases.appearances.api_urls")),
                path("", include("cases.qualifications.api_urls")),
                path("", include("cases.measures.api_urls")),
                path("", include("findings.api_urls")),
                path("", include("findings.computing.api_urls")),
                path("", include("evidence.api_urls")),
                path("", include("evidence.gaps.api_urls")),
                path("", include("evidence.measuring.api_urls")),
                path("", include("evidence.custody.api_urls")),
                path("", include("evidence.results.api_urls")),
                path("", include("cases.history.api_urls")),
            ]
        ),
    ),
    path("account/", include("me_office.accounts.urls")),
    path("account/", include("allauth.urls")),
    path("", include("me_office.accounts.people_urls")),
    path("", include("me_office.upkeep.urls")),
    path("", include("cases.urls")),
    path("", include("cases.certification.urls")),
    path("", include("cases.checking.urls")),
    path("", include("cases.drafting.urls")),
    path("", include("cases.review.urls")),
    path("", include("cases.signatures.urls")),
    path("", include("cases.remains.urls")),
    path("", include("cases.counting.urls")),
    path("", include("cases.clock.urls")),
    path("", include("cases.calendars.urls")),
    path("", include("cases.court.urls")),
    path("", include("cases.letters.urls")),
    path("", include("cases.decisions.urls")),
    path("", include("cases.packets.urls")),
    path("", include("cases.docket.urls")),
    path("", include("cases.answers.urls")),
    path("", include("cases.exhibits.urls")),
    path("", include("cases.witness.urls")),
    path("", include("cases.case_search.urls")),
    path("", include("cases.explanations.urls")),
    path("", include("cases.rehearsal.urls")),
    path("", include("cases.redaction.urls")),
    path("", include("cases.statements.urls")),
    path("", include("cases.appearances.urls")),
    path("", include("cases.qualifications.urls")),
    path("", include("cases.measures.urls")),
    path("", include("findings.urls")),
    path("", include("findings.computing.urls")),
    path("", include("evidence.urls")),
    path("", include("evidence.gaps.urls")),
    path("", include("evidence.measuring.urls")),
    path("", include("evidence.custody.urls")),
    path("", include("evidence.results.urls")),
    path("", include("cases.history.urls")),
]
urlpatterns = [Addresses(_routes)]
handler400 = "me_office.shell.errors.bad_request"
handler404 = "me_office.shell.errors.page_not_found"
handler500 = "me_office.shell.errors.server_error"
handler403 = "me_office.shell.errors.permission_denied"
