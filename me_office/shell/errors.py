"""Pages for what goes wrong outside an action."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render


def page_not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Answer 404."""
    return render(request, "shell/not_found.html", status=404)


def permission_denied(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Answer 403."""
    return render(request, "shell/denied.html", status=403)


def server_error(request: HttpRequest) -> HttpResponse:
    """Answer 500 without touching the database."""
    return render(request, "shell/server_error.html", status=500)
