"""Renders every form field with the office's own templates."""

from django.forms.renderers import TemplatesSetting


class OfficeRenderer(TemplatesSetting):
    """Field and form templates of the page frame."""

    form_template_name = "shell/form/form.html"
    field_template_name = "shell/form/field.html"
