"""Forms in the house's look: a label, one field under a line, the sentence beside it."""

from typing import Any

from django import forms
from django.forms.renderers import DjangoTemplates

__all__ = ["SheetForm", "SheetRenderer"]


class SheetRenderer(DjangoTemplates):
    """Renders forms with our own templates."""

    form_template_name = "studio/form.html"
    field_template_name = "studio/field.html"


class SheetForm(forms.Form):
    """A form whose fields carry no browser bubbles: the server says what is wrong, in one place."""

    use_required_attribute = False

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("label_suffix", "")
        super().__init__(*args, **kwargs)
        for field in self.fields.values():
            if isinstance(field, forms.CharField | forms.EmailField):
                field.strip = not isinstance(field.widget, forms.PasswordInput)
