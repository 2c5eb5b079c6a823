"""How forms are drawn: label, help, the error sentence at its field, a summary that links to it."""

from __future__ import annotations

from django.forms.renderers import TemplatesSetting


class FieldBookRenderer(TemplatesSetting):
    """Draw forms with the templates under `templates/django/forms/`.

    `{{ form }}` gives the error summary and every field; `{{ field.as_field_group }}` gives one.
    """

    form_template_name = "django/forms/div.html"
    formset_template_name = "django/forms/formsets/div.html"
    field_template_name = "django/forms/field.html"
