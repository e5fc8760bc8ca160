"""The tabs over the pages of the settings, and the way through the first steps."""

from __future__ import annotations

from django import template
from django.conf import settings
from django.template.context import Context

from studio import tenancy
from studio.people.demo_guide import GUIDE, PASSWORD
from studio.people.first_steps import FirstStep, find_first_steps, is_led
from studio.people.settings_tabs import find_settings_tabs

register = template.Library()


@register.inclusion_tag("studio/people/_settings_tabs.html", takes_context=True)
def settings_tabs(context: Context) -> dict[str, object]:
    """The row of tabs; the page that is shown is marked."""
    return {"tabs": find_settings_tabs(), "path": context["request"].path}


@register.inclusion_tag("studio/people/_first_steps_strip.html", takes_context=True)
def first_steps_strip(context: Context) -> dict[str, object]:
    """Above a page that is one of the first steps: which one, and the next that is open. Elsewhere nothing."""
    request = context.get("request")
    if request is None or not getattr(request, "tenant", None) or not tenancy.is_entered() or not is_led():
        return {}
    steps = find_first_steps()
    here = next((step for step in steps if step.address.partition("#")[0] == request.path), None)
    return {"steps": steps, "here": here, "next": _next_open(steps, here)} if here else {}


@register.inclusion_tag("studio/people/_demo.html", takes_context=True)
def demo_guide(context: Context) -> dict[str, object]:
    """What to try, where this is the demo; elsewhere nothing."""
    if not settings.DEMO:
        return {}
    return {"people": GUIDE, "password": PASSWORD, "csrf_token": context.get("csrf_token")}


def _next_open(steps: list[FirstStep], here: FirstStep) -> FirstStep | None:
    """The first open step after this one, else the first open one before it."""
    page = here.address.partition("#")[0]
    others = [step for step in steps if not step.is_done and step.address.partition("#")[0] != page]
    return next((step for step in others if step.place > here.place), others[0] if others else None)
