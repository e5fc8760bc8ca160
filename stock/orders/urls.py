"""Addresses of the purchase orders."""

from __future__ import annotations

from django.urls import path

from stock.orders import views

urlpatterns = [
    path("shelf/orders/", views.show_orders, name="orders"),
    path("shelf/suppliers/<int:supplier_id>/order/", views.start_order, name="order-start"),
    path("shelf/orders/<int:order_id>/", views.show_order, name="order"),
    path("shelf/orders/<int:order_id>/send/", views.send_order, name="order-send"),
    path("shelf/orders/<int:order_id>/mail/", views.mail_order, name="order-mail"),
    path("shelf/receipts/<int:receipt_id>/correct/", views.correct_receipt, name="receipt-correct"),
    path("shelf/orders/<int:order_id>/receive/", views.receive_delivery, name="order-receive"),
    path("shelf/orders/<int:order_id>/close/", views.close_order, name="order-close"),
    path("shelf/orders/<int:order_id>/cancel/", views.cancel_order, name="order-cancel"),
    path("shelf/orders/<int:order_id>/lines/", views.set_order_line, name="order-line-set"),
    path("shelf/orders/<int:order_id>/send-back/", views.send_back, name="order-send-back"),
    path("shelf/orders/<int:order_id>/price/", views.change_price, name="order-price-change"),
    path("shelf/orders/<int:order_id>/pdf/", views.show_pdf_state, name="order-pdf-state"),
    path("shelf/orders/<int:order_id>/pdf/make/", views.make_pdf, name="order-pdf-make"),
    path("shelf/orders/<int:order_id>/order.pdf", views.download_pdf, name="order-pdf"),
    path("shelf/orders/<int:order_id>/order.csv", views.download_csv, name="order-csv"),
]
