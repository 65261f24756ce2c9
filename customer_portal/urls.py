"""Addresses of this face."""

from django.urls.resolvers import URLPattern

urlpatterns: list[URLPattern] = []
