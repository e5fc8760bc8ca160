"""Our own texts of e-mails to clients, in each language: what is sent where a studio wrote none."""

from __future__ import annotations

from typing import Final

from quoting.models import LetterKind
from studio.measures.languages import Language

EN, DE = Language.ENGLISH, Language.GERMAN

SUBJECTS: Final[dict[Language, dict[LetterKind, str]]] = {
    EN: {
        LetterKind.OFFER: "{studio}: your offer for {event}",
        LetterKind.AGREED: "{studio}: agreed for {event}",
        LetterKind.INVOICE: "{studio}: invoice {number} for {event}",
        LetterKind.CREDIT: "{studio}: credit note {number} for {event}",
        LetterKind.REMINDER: "{studio}: invoice {number} is still unpaid",
        LetterKind.RECEIPT: "{studio}: receipt {receipt} for {event}",
        LetterKind.REFUND: "{studio}: receipt {receipt} for {event}",
        LetterKind.CALLED_OFF: "{studio}: {event} was called off",
        LetterKind.MOVED: "{studio}: new date for {event}",
    },
    DE: {
        LetterKind.OFFER: "{studio}: Ihr Angebot für {event}",
        LetterKind.AGREED: "{studio}: vereinbart für {event}",
        LetterKind.INVOICE: "{studio}: Rechnung {number} für {event}",
        LetterKind.CREDIT: "{studio}: Gutschrift {number} für {event}",
        LetterKind.REMINDER: "{studio}: Rechnung {number} ist noch offen",
        LetterKind.RECEIPT: "{studio}: Quittung {receipt} für {event}",
        LetterKind.REFUND: "{studio}: Quittung {receipt} für {event}",
        LetterKind.CALLED_OFF: "{studio}: {event} wurde abgesagt",
        LetterKind.MOVED: "{studio}: neuer Termin für {event}",
    },
}

BODIES: Final[dict[Language, dict[LetterKind, str]]] = {
    EN: {
        LetterKind.OFFER: """Hello {client},

here is our offer for {event}, ready by {date}.

{words}

{prices}

{total}

{options}

The page shows the picture, what is included, the price and the terms. You can agree, ask for a change, or decline
there:

{link}

The offer is valid until {valid_until}. {hold} Anyone with this link can answer the offer, so share it only with people
who may decide.""",
        LetterKind.AGREED: """Hello {client},

{name} agreed to offer no. {number} for {event}, ready by {date}.

{total}

{deposit}

{choice}

The agreed offer is attached as a PDF. You can also see it here:

{link}

Fingerprint of the agreed document (SHA-256): {digest}""",
        LetterKind.INVOICE: """Hello {client},

invoice {number} for {event} is attached. Please pay it by {due}.

{amount}

{payment}""",
        LetterKind.CREDIT: """Hello {client},

credit note {number} for {event} is attached. It credits {credits}

{amount}""",
        LetterKind.REMINDER: """Hello {client},

this is still unpaid on invoice {number} for {event}, which was due on {due}:

{amount}

{payment}

If you have already paid, thank you; please ignore this e-mail. The invoice is attached again.""",
        LetterKind.RECEIPT: """Hello {client},

thank you. We received this on {received} for invoice {number}, {event}:

{amount}

{left} The receipt is attached.""",
        LetterKind.REFUND: """Hello {client},

we paid this back to you on {received} for invoice {number}, {event}:

{amount}

{left} The receipt is attached.""",
        LetterKind.CALLED_OFF: """Hello {client},

{event} on {date} was called off. Nothing is reserved for it any more.

If you have paid something already, we will tell you what happens with it.

If you still want the event, or another date, reply to this e-mail. {call}""",
        LetterKind.MOVED: """Hello {client},

{event} has a new date. Everything is ready by {date}, no longer by {before}.

If that doesn't suit you, reply to this e-mail. {call}""",
    },
    DE: {
        LetterKind.OFFER: """Guten Tag {client},

hier ist unser Angebot für {event}, fertig aufgebaut bis {date}.

{words}

{prices}

{total}

{options}

Auf der Seite finden Sie das Bild, was enthalten ist, den Preis und die Bedingungen. Dort können Sie zustimmen, um eine
Änderung bitten oder ablehnen:

{link}

Das Angebot gilt bis {valid_until}. {hold} Wer diesen Link hat, kann auf das Angebot antworten; geben Sie ihn nur
weiter, wenn jemand mitentscheiden soll.""",
        LetterKind.AGREED: """Guten Tag {client},

{name} hat dem Angebot Nr. {number} für {event} zugestimmt, fertig aufgebaut bis {date}.

{total}

{deposit}

{choice}

Das vereinbarte Angebot liegt als PDF bei. Sie finden es auch hier:

{link}

Prüfsumme des vereinbarten Dokuments (SHA-256): {digest}""",
        LetterKind.INVOICE: """Guten Tag {client},

die Rechnung {number} für {event} liegt bei. Bitte zahlen Sie bis {due}.

{amount}

{payment}""",
        LetterKind.CREDIT: """Guten Tag {client},

die Gutschrift {number} für {event} liegt bei. Sie betrifft {credits}

{amount}""",
        LetterKind.REMINDER: """Guten Tag {client},

auf der Rechnung {number} für {event}, fällig am {due}, ist noch offen:

{amount}

{payment}

Wenn Sie schon gezahlt haben: vielen Dank, dann ist diese E-Mail hinfällig. Die Rechnung liegt noch einmal bei.""",
        LetterKind.RECEIPT: """Guten Tag {client},

vielen Dank. Für die Rechnung {number}, {event}, ist am {received} bei uns eingegangen:

{amount}

{left} Die Quittung liegt bei.""",
        LetterKind.REFUND: """Guten Tag {client},

für die Rechnung {number}, {event}, haben wir Ihnen am {received} zurückgezahlt:

{amount}

{left} Die Quittung liegt bei.""",
        LetterKind.CALLED_OFF: """Guten Tag {client},

{event} am {date} wurde abgesagt. Dafür ist nichts mehr reserviert.

Wenn Sie schon etwas gezahlt haben, sagen wir Ihnen, was damit geschieht.

Wenn Sie die Veranstaltung doch möchten oder an einem anderen Tag, antworten Sie auf diese E-Mail. {call}""",
        LetterKind.MOVED: """Guten Tag {client},

{event} hat einen neuen Termin. Fertig aufgebaut ist alles bis {date}, nicht mehr bis {before}.

Wenn Ihnen das nicht passt, antworten Sie auf diese E-Mail. {call}""",
    },
}

WORDS: Final[dict[Language, dict[str, str]]] = {
    EN: {
        "see the offer": "See the offer",
        "see what was agreed": "See what was agreed",
        "copy": "Or copy this address into the browser:",
        "held": "Until then we're holding these pieces for you.",
        "not held": "Nothing is reserved before you agree.",
        "options": "You can add or remove some parts; the total updates.",
        "deposit": "Deposit: {amount}",
        "included": "Included: {names}.",
        "not included": "Not included: {names}.",
        "reference": "Payment reference",
        "left": "{amount} is left to pay on this invoice.",
        "nothing left": "Nothing is left to pay on this invoice.",
        "call": "You can also call {phone}.",
        "Account holder": "Account holder",
        "total": "Total",
        "invoice of": "invoice {number} of {day}",
    },
    DE: {
        "see the offer": "Angebot ansehen",
        "see what was agreed": "Vereinbarung ansehen",
        "copy": "Oder diese Adresse im Browser eingeben:",
        "held": "Bis dahin halten wir die Stücke für Sie frei.",
        "not held": "Reserviert ist vor Ihrer Zusage nichts.",
        "options": "Einzelne Teile können Sie dazunehmen oder weglassen; die Summe passt sich an.",
        "deposit": "Anzahlung: {amount}",
        "included": "Enthalten: {names}.",
        "not included": "Nicht enthalten: {names}.",
        "reference": "Verwendungszweck",
        "left": "Auf dieser Rechnung sind noch {amount} offen.",
        "nothing left": "Auf dieser Rechnung ist nichts mehr offen.",
        "call": "Sie erreichen uns auch unter {phone}.",
        "Account holder": "Kontoinhaber",
        "total": "Summe",
        "invoice of": "Rechnung {number} vom {day}",
    },
}
"""What fills a placeholder, in each language."""
