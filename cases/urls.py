"""Pages of the case file."""

from django.urls import path, register_converter

from cases.views import assignment, body, case, entries, listing, not_done, report, scene


class EntryKindConverter:
    """The kinds of records that a case has many of."""

    regex = "|".join(entries.KINDS)

    def to_python(self, value: str) -> str:
        """Take the kind as it stands in the address."""
        return value

    def to_url(self, value: str) -> str:
        """Write the kind into an address."""
        return value


register_converter(EntryKindConverter, "entry_kind")

app_name = "cases"
_CASE = "cases/<uuid:case_id>"
_ENTRY = f"{_CASE}/<entry_kind:kind>/<uuid:record_id>"
_MEMBER = f"{_CASE}/team/<uuid:record_id>"
urlpatterns = [
    path("cases/", listing.case_list, name="list"),
    path("cases/export.csv", listing.case_export, name="export"),
    path("cases/new/", report.log_report, name="log-report"),
    path("search/", listing.search, name="search"),
    path(f"{_CASE}/", case.case, name="case"),
    path(f"{_CASE}/first-call/", report.report, name="report"),
    path(f"{_CASE}/first-call/edit/", report.edit_report, name="edit-report"),
    path(f"{_CASE}/jurisdiction/", report.jurisdiction, name="jurisdiction"),
    path(f"{_CASE}/scene/", scene.scene, name="scene"),
    path(f"{_CASE}/scene/edit/", scene.edit_scene, name="edit-scene"),
    path(f"{_CASE}/scene/caution/", scene.scene_caution, name="scene-caution"),
    path(f"{_CASE}/body/", body.body, name="body"),
    path(f"{_CASE}/body/receipt/", body.edit_receipt, name="edit-receipt"),
    path(f"{_CASE}/not-done/<slug:kind>/", not_done.not_done, name="not-done"),
    path(f"{_CASE}/decedent/", body.edit_decedent, name="edit-decedent"),
    path(f"{_CASE}/assignment/", assignment.assignment, name="assignment"),
    path(f"{_CASE}/restriction/", assignment.restriction, name="restriction"),
    path(f"{_CASE}/team/new/", assignment.add_team_member, name="add-team-member"),
    path(f"{_MEMBER}/remove/", assignment.remove_team_member, name="remove-team-member"),
    path(f"{_CASE}/<entry_kind:kind>/new/", entries.add_entry, name="add-entry"),
    path(f"{_ENTRY}/", entries.edit_entry, name="edit-entry"),
    path(f"{_ENTRY}/void/", entries.void_entry, name="void-entry"),
]
