"""``{% to "events:event" event.pk %}``: addresses inside the studio that is entered."""

from __future__ import annotations

from django import template

from studio.tenancy import links

register = template.Library()

register.simple_tag(links.to, name="to")
