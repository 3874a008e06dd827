"""Pages of letters."""

from django.urls import path

from cases.letters import template_views, views

app_name = "letters"
_ALL = "cases/<uuid:case_id>/letters"
_ONE = f"{_ALL}/<uuid:letter_id>"
_TEMPLATES = "letters/templates"
urlpatterns = [
    path(f"{_TEMPLATES}/", template_views.templates, name="templates"),
    path(f"{_TEMPLATES}/new/<str:kind>/", template_views.add, name="add-template"),
    path(f"{_TEMPLATES}/<uuid:template_id>/", template_views.change, name="template"),
    path(f"{_TEMPLATES}/<uuid:template_id>/void/", template_views.void, name="void-template"),
    path(f"{_ALL}/", views.letters, name="letters"),
    path(f"{_ALL}/new/<uuid:request_id>/", views.choose, name="choose"),
    path(f"{_ALL}/new/<uuid:request_id>/<str:kind>/", views.write, name="write"),
    path(
        f"{_ALL}/new/<uuid:request_id>/<str:kind>/<uuid:template_id>/",
        views.write,
        name="write-from",
    ),
    path(f"{_ONE}/", views.letter, name="letter"),
    path(f"{_ONE}/preview.pdf", views.preview, name="preview"),
    path(f"{_ONE}/letter.pdf", views.pdf, name="pdf"),
    path(f"{_ONE}/make/", views.make, name="make"),
    path(f"{_ONE}/send/", views.send, name="send"),
    path(f"{_ONE}/withdraw/", views.withdraw, name="withdraw"),
    path(f"{_ONE}/sent/<uuid:sending_id>/withdraw/", views.withdraw_sent, name="withdraw-sent"),
]
