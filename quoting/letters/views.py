"""The pages on which a studio writes its e-mails to clients."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from quoting.letters import texts
from quoting.letters.forms import TextForm
from quoting.letters.presenter import example_letter
from quoting.models import LetterKind
from studio.measures.languages import Language
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.tenancy import links
from studio.tenancy.rights import Right


@require_safe
@studio_page(Right.EDIT_STUDIO)
def mail_texts(request: StudioRequest) -> HttpResponse:
    """Every kind of e-mail to clients, in each language, and which the studio wrote itself."""
    own = texts.find_own()
    rows = [
        (kind, [(language, (kind.value, language.value) in own) for language in Language])
        for kind in LetterKind
    ]
    return render(request, "quoting/letters/mail_texts.html", {"rows": rows})


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_STUDIO)
def mail_text(request: StudioRequest, letter: str, language: str) -> HttpResponse:
    """One text: shown, written anew, with an example of how it reads."""
    kind, spoken = _known(letter, language)
    text = texts.find_text(kind, spoken)
    form = TextForm(request.POST or None, kind=kind, text=text)
    if request.method == "POST" and form.is_valid():
        try:
            texts.keep_text(kind, spoken, **form.cleaned_data)
        except ValidationError as refusal:
            form.add_error(None, refusal)
        else:
            messages.success(request, "Saved. E-mails from now on say this.")
            return redirect(links.to("quoting:mail-text", kind.value, spoken.value))
    context = {
        "form": form, "kind": kind, "language": spoken, "text": text,
        "example": example_letter(kind, spoken, text, request.tenant.studio),
    }  # fmt: skip
    return render(request, "quoting/letters/mail_text.html", context, status=422 if form.errors else 200)


@require_POST
@studio_page(Right.EDIT_STUDIO)
def reset_mail_text(request: StudioRequest, letter: str, language: str) -> HttpResponse:
    """Ours again."""
    kind, spoken = _known(letter, language)
    texts.reset_text(kind, spoken)
    messages.success(request, "E-mails say our text again.")
    return redirect(links.to("quoting:mail-text", kind.value, spoken.value))


# Private


def _known(letter: str, language: str) -> tuple[LetterKind, Language]:
    if letter not in LetterKind.values or language not in Language.values:
        raise Http404
    return LetterKind(letter), Language(language)
