"""Pages of exhibits."""

from django.urls import path

from cases.exhibits.views import exhibits, marks, redactions, sets, showing

app_name = "exhibits"
_ALL = "cases/<uuid:case_id>/exhibits"
_SET = f"{_ALL}/<uuid:set_id>"
_ONE = f"{_SET}/exhibits/<uuid:exhibit_id>"
_PHOTOGRAPH = f"{_ALL}/photographs/<uuid:photograph_id>"
_COPY = f"{_ALL}/redactions/<uuid:redaction_id>"
urlpatterns = [
    path(f"{_ALL}/", sets.exhibit_sets, name="sets"),
    path(f"{_ALL}/new/", sets.make_set, name="make-set"),
    path(f"{_ALL}/photographs/", exhibits.choose_to_redact, name="choose-to-redact"),
    path(f"{_PHOTOGRAPH}/redact/", redactions.redact, name="redact"),
    path(f"{_PHOTOGRAPH}/redact/preview.jpg", redactions.preview, name="redact-preview"),
    path(f"{_ALL}/redactions/", redactions.redaction_log, name="redaction-log"),
    path(f"{_ALL}/redactions/<uuid:request_id>/again/", redactions.retry, name="redaction-retry"),
    path(f"{_COPY}/", redactions.redacted_copy, name="redaction"),
    path(f"{_COPY}/take-back/", redactions.take_back, name="take-back-redaction"),
    path(f"{_SET}/", sets.exhibit_set, name="set"),
    path(f"{_SET}/edit/", sets.change_set, name="change-set"),
    path(f"{_SET}/withdraw/", sets.withdraw_set, name="withdraw-set"),
    path(f"{_SET}/choose/", exhibits.choose, name="choose"),
    path(f"{_SET}/contact-sheet/", sets.contact_sheet, name="contact-sheet"),
    path(f"{_SET}/contact-sheet.pdf", sets.contact_sheet_pdf, name="contact-sheet-pdf"),
    path(f"{_SET}/present/", showing.present, name="present"),
    path(f"{_SET}/present/notes/", showing.court_notes, name="court-notes"),
    path(f"{_ONE}/", exhibits.exhibit, name="exhibit"),
    path(f"{_ONE}/move/", sets.move, name="move-exhibit"),
    path(f"{_ONE}/remove/", exhibits.remove, name="remove-exhibit"),
    path(f"{_ONE}/marks/", marks.keep_mark, name="keep-mark"),
    path(f"{_ONE}/marks/<uuid:mark_id>/withdraw/", marks.withdraw_mark, name="withdraw-mark"),
    path(f"{_ONE}/thumb/", showing.picture, {"kind": "thumb"}, name="thumb"),
    path(f"{_ONE}/screen/", showing.picture, {"kind": "screen"}, name="screen"),
    path(f"{_ONE}/large/", showing.picture, {"kind": "large"}, name="large"),
]
