"""Addresses of the quoting room, inside a studio."""

from __future__ import annotations

from django.urls import path

from quoting.build_sheet import views
from quoting.designs import file_views
from quoting.designs import views as designs
from quoting.invoices import views as invoices
from quoting.look_along import views as looking
from quoting.offers import version_views
from quoting.offers import views as offer
from quoting.pricing import views as rates
from quoting.quote_page import list_views, pulse_views
from quoting.quote_page import views as quote
from quoting.suggestions import room_views
from quoting.suggestions import views as fitting

app_name = "quoting"

urlpatterns = [
    path("quotes/", list_views.quotes, name="quotes"),
    path("quotes/start/<int:event_id>", list_views.start, name="start"),
    path("quotes/<int:quote_id>/", quote.quote, name="quote"),
    path("quotes/<int:quote_id>/copy", list_views.copy, name="quote-copy"),
    path("quotes/<int:quote_id>/versions", version_views.versions, name="quote-versions"),
    path("quotes/<int:quote_id>/alter", quote.alter, name="quote-alter"),
    path("quotes/<int:quote_id>/undo", quote.undo, name="quote-undo"),
    path("quotes/<int:quote_id>/way", quote.way, name="quote-way"),
    path("quotes/<int:quote_id>/adjust", quote.adjust, name="quote-adjust"),
    path("quotes/<int:quote_id>/payment", quote.set_payment, name="quote-payment"),
    path("quotes/<int:quote_id>/by-hand", quote.set_by_hand, name="quote-by-hand"),
    path("quotes/<int:quote_id>/lines/add", quote.add_line, name="quote-add-line"),
    path("quotes/<int:quote_id>/lines/<int:line_id>/remove", quote.remove_line, name="quote-remove-line"),
    path("quotes/<int:quote_id>/pieces/add/<int:template_id>", quote.add_piece, name="quote-add-piece"),
    path("quotes/<int:quote_id>/pieces/<int:piece_id>/keep", designs.keep_piece, name="design-keep-piece"),
    path("quotes/<int:quote_id>/pieces/<int:piece_id>/fit", room_views.fit, name="fit-piece"),
    path("quotes/<int:quote_id>/pieces/<int:piece_id>/remove", quote.remove_piece, name="quote-remove-piece"),
    path("quotes/<int:quote_id>/build", views.build_sheet, name="build-sheet"),
    path("quotes/<int:quote_id>/build/make", views.make_paper, name="build-sheet-make"),
    path("quotes/<int:quote_id>/build/paper", views.paper, name="build-sheet-paper"),
    path("quotes/<int:quote_id>/build/sheet.pdf", views.build_sheet_pdf, name="build-sheet-pdf"),
    path("quotes/<int:quote_id>/options", quote.mark_options, name="quote-options"),
    path("quotes/<int:quote_id>/fit/budget", fitting.fit_budget, name="fit-budget"),
    path("quotes/<int:quote_id>/fit/shelf", fitting.fit_shelf, name="fit-shelf"),
    path("quotes/<int:quote_id>/pieces/<int:piece_id>/version", fitting.take_version, name="take-version"),
    path("quotes/<int:quote_id>/pieces/<int:piece_id>/colours", fitting.take_colours, name="take-colours"),
    path("quotes/<int:quote_id>/pulse", pulse_views.pulse, name="quote-pulse"),
    path("quotes/<int:quote_id>/look", looking.let_look, name="quote-look"),
    path("quotes/<int:quote_id>/look/stop", looking.stop_look, name="quote-look-stop"),
    path("quotes/<int:quote_id>/offer", offer.make_offer, name="make-offer"),
    path("offers/<int:offer_id>/", offer.offer, name="offer"),
    path("offers/<int:offer_id>/paper", offer.offer_paper, name="offer-paper"),
    path("offers/<int:offer_id>/offer.pdf", offer.offer_pdf, name="offer-pdf"),
    path("offers/<int:offer_id>/link", offer.offer_link, name="offer-link"),
    path("offers/<int:offer_id>/mail", offer.offer_mail, name="offer-mail"),
    path("offers/<int:offer_id>/let-go", offer.offer_let_go, name="offer-let-go"),
    path("offers/<int:offer_id>/withdraw", offer.offer_withdraw, name="offer-withdraw"),
    path("offers/<int:offer_id>/invoice", invoices.further_invoice, name="further-invoice"),
    path("invoices/", invoices.invoices, name="invoices"),
    path("invoices/<int:invoice_id>/", invoices.invoice, name="invoice"),
    path("invoices/<int:invoice_id>/invoice.pdf", invoices.invoice_pdf, name="invoice-pdf"),
    path("invoices/<int:invoice_id>/pay", invoices.pay, name="pay"),
    path("invoices/<int:invoice_id>/promise", invoices.promise, name="promise"),
    path("invoices/<int:invoice_id>/pay-back", invoices.pay_back, name="pay-back"),
    path("invoices/<int:invoice_id>/credit", invoices.credit, name="credit"),
    path("invoices/<int:invoice_id>/mail", invoices.mail, name="invoice-mail"),
    path("invoices/<int:invoice_id>/remind", invoices.remind, name="remind"),
    path("receipts/<int:payment_id>/receipt.pdf", invoices.receipt_pdf, name="receipt-pdf"),
    path("receipts/<int:payment_id>/take-back", invoices.take_back, name="take-back"),
    path("designs/", designs.designs, name="designs"),
    path("designs/starters", designs.bring_in_starters, name="bring-in-starters"),
    path("designs/file", file_views.bring_in, name="design-file-bring-in"),
    path("designs/<int:template_id>/", designs.design, name="design"),
    path("designs/<int:template_id>/file.json", file_views.download, name="design-file"),
    path("designs/<int:template_id>/change", designs.change, name="design-change"),
    path("designs/<int:template_id>/picture.svg", designs.picture, name="design-picture"),
    path("designs/<int:template_id>/retire", designs.retire, name="retire-design"),
    path("designs/<int:template_id>/bring-back", designs.bring_back, name="bring-back-design"),
    path("settings/rates/", rates.rates, name="rates"),
]
