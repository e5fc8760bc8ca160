"""Addresses of the invoices."""

from __future__ import annotations

from django.urls import path

from quoting.invoices import views

urlpatterns = [
    path("offers/<int:offer_id>/invoice/", views.further_invoice, name="invoice-further"),
    path("invoices/", views.invoices, name="invoices"),
    path("invoices/<int:invoice_id>/", views.invoice, name="invoice"),
    path("invoices/<int:invoice_id>/invoice.pdf", views.invoice_pdf, name="invoice-pdf"),
    path("invoices/<int:invoice_id>/pay/", views.pay, name="invoice-pay"),
    path("invoices/<int:invoice_id>/confirm-event/", views.promise, name="invoice-confirm-event"),
    path("invoices/<int:invoice_id>/pay-back/", views.pay_back, name="invoice-pay-back"),
    path("invoices/<int:invoice_id>/credit/", views.credit, name="invoice-credit"),
    path("invoices/<int:invoice_id>/mail/", views.mail, name="invoice-mail"),
    path("invoices/<int:invoice_id>/remind/", views.remind, name="invoice-remind"),
    path("events/<int:event_id>/settle-payments/", views.settle_called_off, name="event-settle-payments"),
    path("receipts/<int:payment_id>/receipt.pdf", views.receipt_pdf, name="receipt-pdf"),
    path("receipts/<int:payment_id>/take-back/", views.take_back, name="receipt-take-back"),
]
