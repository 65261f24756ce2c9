"""Addresses: the staff's pages, the customer's page, the API."""

from django.urls import include, path

urlpatterns = [
    path("api/v1/", include("api.urls")),
    path("c/", include("customer_portal.urls")),
    path("", include("shop.screens.urls")),
]
