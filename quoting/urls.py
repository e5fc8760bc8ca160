"""Addresses of the quoting room, inside a studio."""

from __future__ import annotations

from django.urls import path

from quoting.views import build_sheet, design_file, designs, fit, invoices, offer, quote, quotes, rates

app_name = "quoting"

urlpatterns = [
    path("quotes/", quotes.quotes, name="quotes"),
    path("quotes/start/<int:event_id>", quotes.start, name="start"),
    path("quotes/<int:quote_id>/", quote.quote, name="quote"),
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
    path("quotes/<int:quote_id>/pieces/<int:piece_id>/fit", fit.fit, name="fit-piece"),
    path("quotes/<int:quote_id>/pieces/<int:piece_id>/remove", quote.remove_piece, name="quote-remove-piece"),
    path("quotes/<int:quote_id>/build", build_sheet.build_sheet, name="build-sheet"),
    path("quotes/<int:quote_id>/build/make", build_sheet.make_paper, name="build-sheet-make"),
    path("quotes/<int:quote_id>/build/paper", build_sheet.paper, name="build-sheet-paper"),
    path("quotes/<int:quote_id>/build/sheet.pdf", build_sheet.build_sheet_pdf, name="build-sheet-pdf"),
    path("quotes/<int:quote_id>/options", quote.mark_options, name="quote-options"),
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
    path("designs/file", design_file.bring_in, name="design-file-bring-in"),
    path("designs/<int:template_id>/", designs.design, name="design"),
    path("designs/<int:template_id>/file.json", design_file.download, name="design-file"),
    path("designs/<int:template_id>/rename", designs.rename, name="design-rename"),
    path("designs/<int:template_id>/picture.svg", designs.picture, name="design-picture"),
    path("designs/<int:template_id>/retire", designs.retire, name="retire-design"),
    path("designs/<int:template_id>/bring-back", designs.bring_back, name="bring-back-design"),
    path("settings/rates/", rates.rates, name="rates"),
]
