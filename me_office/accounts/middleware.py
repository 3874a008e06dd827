"""Every page but the sign-in asks for a signed-in member of staff."""

from __future__ import annotations

from django.conf import settings
from django.contrib.auth.views import redirect_to_login
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect
from django_htmx.http import HttpResponseClientRedirect

from me_office.around import Around

SIGN_IN = "/sign-in/"
# Between password and second factor nobody is signed in yet.
SECOND_STEP = "/account/2fa/authenticate/"
OPEN_PATHS = (
    *(SIGN_IN, SECOND_STEP, "/account/login/", "/account/inactive/"),
    *("/sign-out/", "/account/logout/"),
    *("/static/", "/health/", "/metrics", "/help/accessibility/", "/verify/", "/pick-up/"),
    # Whoever has the private address of a calendar reads it.
    "/calendars/feed/",
)
WITHOUT_SECOND_FACTOR = ("/account/", *OPEN_PATHS)
CHOOSE_ONE = "/account/password/change/"


class SignedInOnly(Around):
    """Send visitors to the sign-in page, and staff without a second factor to set one up."""

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Let the request through, or answer it here."""
        if request.path.startswith(OPEN_PATHS):
            return self.get_response(request)
        if not request.user.is_authenticated:
            return self._to_sign_in(request)
        if request.user.must_change_password and not request.path.startswith("/account/"):
            return self._to_own_password(request)
        if settings.REQUIRE_SECOND_FACTOR and not request.path.startswith(WITHOUT_SECOND_FACTOR):
            from allauth.mfa.utils import is_mfa_enabled

            if not is_mfa_enabled(request.user):
                return redirect("mfa_activate_totp")
        return self.get_response(request)

    def _to_own_password(self, request: HttpRequest) -> HttpResponse:
        if request.path.startswith("/api/"):
            words = "First choose a password of your own, in a browser."
            return JsonResponse({"code": "password_to_change", "message": words}, status=403)
        return redirect(CHOOSE_ONE)

    def _to_sign_in(self, request: HttpRequest) -> HttpResponse:
        if request.path.startswith("/api/"):
            return JsonResponse({"code": "not_signed_in", "message": "Sign in first."}, status=401)
        answer = redirect_to_login(request.get_full_path(), login_url=SIGN_IN)
        if request.headers.get("HX-Request") == "true":
            return HttpResponseClientRedirect(answer.url)
        return answer
