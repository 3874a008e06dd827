"""Pages of answers to requests, and of the numbers of their pages."""

from __future__ import annotations

from django.http import HttpResponse
from django.views.decorators.http import require_GET, require_http_methods

from cases.access import Act, may_somewhere, require_role
from cases.answers import actions, queries, rules
from cases.answers.forms import FindPageForm, SeriesForm
from cases.answers.records import document_address, later_words, record_address
from me_office.accounts.requests import StaffRequest
from me_office.audit import looks
from me_office.shell.forms import answer_done, answer_form, submitted


@require_GET
def find_page(request: StaffRequest) -> HttpResponse:
    """Tell what stands on a page of a packet that the office once sent."""
    require_role(request.user, Act.SEE)
    asked = request.GET.get("number", "")
    form = FindPageForm(request.GET if asked else None)
    context: dict[str, object] = {
        "series": queries.page_series(),
        "may_change": may_somewhere(request.user, Act.KEEP_CLERK_LISTS),
        "found": None,
    }
    if form.is_valid():
        found = queries.find_page(request.user, form.cleaned_data["number"])
        rows = int(found is not None and found.state != "not given")
        looks.note_list(request.user, "page number", rows=rows, asked={"number": asked[:40]})
        if found is None:
            form.add_error("number", "The office numbers no pages in this way.")
        else:
            context |= {"found": found}
            if found.part is not None:
                context |= {
                    "record": record_address(found.part, found.page_of_document),
                    "document": document_address(found.part, found.page_of_document),
                    "later": later_words(found.part),
                }
    return answer_form(request, "answers/find_page.html", context, form)


@require_http_methods(["GET", "POST"])
def page_series(request: StaffRequest) -> HttpResponse:
    """Show how pages were and are numbered; a clerk chooses another prefix."""
    require_role(request.user, Act.SEE)
    may_change = may_somewhere(request.user, Act.KEEP_CLERK_LISTS)
    every = queries.all_page_series()
    standing = next((one for one in every if not one.is_voided), None)
    initial = {"prefix": "", "digits": standing.digits if standing else rules.DEFAULT_DIGITS}
    form = SeriesForm(request.POST or None, initial=initial)
    if may_change:
        of = standing.pk if standing else None
        saved = submitted(request, form, actions.replace_page_series, of=of)
        if saved:
            return answer_done(request, f"The next page is {saved}.", "answers:page-series")
    elif request.method == "POST":
        require_role(request.user, Act.KEEP_CLERK_LISTS)
    context = {"every": every, "standing": standing, "may_change": may_change}
    return answer_form(request, "answers/page_series.html", context, form)
