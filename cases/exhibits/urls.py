"""Pages of exhibits."""

from django.urls import path

from cases.exhibits.views import (
    exhibits,
    marks,
    numbering,
    pdfs,
    redactions,
    rulings,
    sets,
    showing,
)

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
    path(f"{_SET}/copy/", sets.copy_set, name="copy-set"),
    path(f"{_SET}/withdraw/", sets.withdraw_set, name="withdraw-set"),
    path(f"{_SET}/order/", sets.arrange, name="arrange"),
    path(f"{_SET}/numbers/", numbering.numbers, name="numbers"),
    path(f"{_SET}/choose/", exhibits.choose, name="choose"),
    path(f"{_SET}/contact-sheet/", sets.contact_sheet, name="contact-sheet"),
    path(f"{_SET}/contact-sheet.pdf", sets.contact_sheet_pdf, name="contact-sheet-pdf"),
    path(f"{_SET}/pdf/", pdfs.pdfs, name="pdfs"),
    path(f"{_SET}/pdf/list/", pdfs.pdf_list, name="pdf-list"),
    path(f"{_SET}/pdf/<uuid:request_id>/again/", pdfs.retry, name="pdf-retry"),
    path(f"{_ALL}/pdf/<uuid:request_id>.pdf", pdfs.pdf, name="pdf"),
    path(f"{_SET}/present/", showing.present, name="present"),
    path(f"{_SET}/present/notes/", showing.court_notes, name="court-notes"),
    path(f"{_ONE}/", exhibits.exhibit, name="exhibit"),
    path(f"{_ONE}/move/", sets.move, name="move-exhibit"),
    path(f"{_ONE}/remove/", exhibits.remove, name="remove-exhibit"),
    path(f"{_ONE}/marks/", marks.keep_mark, name="keep-mark"),
    path(f"{_ONE}/marks/<uuid:mark_id>/withdraw/", marks.withdraw_mark, name="withdraw-mark"),
    path(f"{_ONE}/rulings/new/", rulings.record, name="record-ruling"),
    path(f"{_ALL}/rulings/<uuid:ruling_id>/", rulings.change, name="ruling"),
    path(f"{_ALL}/rulings/<uuid:ruling_id>/withdraw/", rulings.withdraw, name="withdraw-ruling"),
    path(f"{_ONE}/photographs/", exhibits.compose, name="compose-exhibit"),
    *(
        path(f"{of}/{kind}/", showing.picture, {"kind": kind}, name=kind)
        for of in (_ONE, f"{_ONE}/photographs/<uuid:photograph_id>")
        for kind in ("thumb", "screen", "large")
    ),
]
