"""How every form is drawn: ``{{ form }}`` alone gives label, hint, control with unit, and error."""

from __future__ import annotations

from django.forms.renderers import TemplatesSetting


class StudioForms(TemplatesSetting):
    """Named by ``FORM_RENDERER``; needs ``django.forms`` installed for the templates of the widgets."""

    form_template_name = "studio/forms/form.html"
    formset_template_name = "studio/forms/formset.html"
    field_template_name = "studio/forms/field.html"
