"""Addresses of this face."""

from django.urls import include, path

urlpatterns = [path("", include("shop.screens.health"))]
