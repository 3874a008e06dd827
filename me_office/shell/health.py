"""Answers a load balancer's question."""

from django.conf import settings
from django.db import connection
from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_GET


@require_GET
def health(request: HttpRequest) -> HttpResponse:
    """Answer 200 when the database answers, and which start of the office this is.

    `me_office.run` gives every start a word of its own: whoever else answers on a port is known.
    """
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1")
    answer = HttpResponse("ok\n", content_type="text/plain")
    if settings.INSTANCE:
        answer["X-Office-Instance"] = settings.INSTANCE
    return answer
