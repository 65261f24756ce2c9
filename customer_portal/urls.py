"""Addresses of the customer's page. The secret is in the first address only; then a cookie carries it."""

from django.urls import path, re_path

from customer_portal import announce, views

app_name = "customer"
urlpatterns = [
    path("", views.unit_page, name="page"),
    path("part", views.part, name="part"),
    path("answer", views.answer, name="answer"),
    path("receipt", views.receipt, name="receipt"),
    path("photos/<uuid:photo_id>", views.photo, name="photo"),
    path("announce", announce.announce, name="announce"),
    re_path(r"^(?P<token>[0-9a-f]{40})$", views.enter, name="enter"),
]
