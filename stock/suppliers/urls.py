"""Addresses of the suppliers."""

from __future__ import annotations

from django.urls import path

from stock.suppliers import views

urlpatterns = [
    path("shelf/suppliers/", views.show_suppliers, name="suppliers"),
    path("shelf/suppliers/<int:supplier_id>/", views.show_supplier, name="supplier"),
    path("shelf/suppliers/<int:supplier_id>/change/", views.change_supplier, name="supplier-change"),
    path("shelf/suppliers/<int:supplier_id>/price/", views.set_price, name="supplier-price-set"),
    path("shelf/suppliers/<int:supplier_id>/remove-price/", views.remove_price, name="supplier-price-remove"),
    path("shelf/suppliers/<int:supplier_id>/retire/", views.retire_supplier, name="supplier-retire"),
    path("shelf/suppliers/<int:supplier_id>/restore/", views.restore_supplier, name="supplier-restore"),
]
