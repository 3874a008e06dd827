"""API of the case file."""

from django.urls import path

from cases.api import assignment, cases, not_done, records

app_name = "cases_api"
_CASE = "cases/<uuid:case_id>"
urlpatterns = [
    path("cases/", cases.Cases.as_view(), name="cases"),
    path("search/", cases.CaseSearch.as_view(), name="search"),
    path(f"{_CASE}/", cases.OneCase.as_view(), name="case"),
    path(f"{_CASE}/report-of-death/", cases.Report.as_view(), name="report"),
    path(f"{_CASE}/jurisdiction/accept/", cases.AcceptJurisdiction.as_view(), name="accept"),
    path(f"{_CASE}/jurisdiction/decline/", cases.DeclineJurisdiction.as_view(), name="decline"),
    path(f"{_CASE}/decedent/", cases.DecedentOfCase.as_view(), name="decedent"),
    path(f"{_CASE}/scene/", records.SceneOfCase.as_view(), name="scene"),
    path(f"{_CASE}/body-receipt/", records.ReceiptOfBody.as_view(), name="receipt"),
    path(f"{_CASE}/not-done/", not_done.StatedNotDone.as_view(), name="not-done"),
    path(
        f"{_CASE}/not-done/<uuid:record_id>/void/",
        not_done.VoidNotDone.as_view(),
        name="void-not-done",
    ),
    path(f"{_CASE}/assignment/", assignment.Assignment.as_view(), name="assignment"),
    path(f"{_CASE}/restriction/", assignment.Restriction.as_view(), name="restriction"),
    path(
        f"{_CASE}/restriction/lift/",
        assignment.RestrictionLifted.as_view(),
        name="lift-restriction",
    ),
    path(f"{_CASE}/team/", assignment.Team.as_view(), name="team"),
    path(
        f"{_CASE}/team/<uuid:record_id>/remove/",
        assignment.TeamMemberRemoved.as_view(),
        name="remove-team-member",
    ),
]
for name, many, voided in (
    ("readings", records.Readings, records.VoidReading),
    ("places", records.Places, records.VoidPlace),
    ("medication", records.MedicationFound, records.VoidMedication),
    ("people", records.People, records.VoidPerson),
    ("identifications", records.Identifications, records.VoidIdentification),
):
    urlpatterns += [
        path(f"{_CASE}/{name}/", many.as_view(), name=name),
        path(f"{_CASE}/{name}/<uuid:record_id>/void/", voided.as_view(), name=f"void-{name}"),
    ]
