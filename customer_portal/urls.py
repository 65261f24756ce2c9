"""Addresses of the customer's page. The secret is in the first address only; then a cookie carries it."""

from django.urls import path, re_path

from customer_portal import announce, check, language, lost, sums, unsubscribe, views

app_name = "customer"
urlpatterns = [
    path("", views.unit_page, name="page"),
    path("part", views.part, name="own-part"),
    path("answer", views.answer, name="own-answer"),
    path("unit/<int:number>", views.unit_page, name="unit"),
    path("unit/<int:number>/part", views.part, name="part"),
    path("unit/<int:number>/answer", views.answer, name="answer"),
    path("unit/<int:number>/reckon", sums.reckon, name="reckon"),
    path("unit/<int:number>/sums", sums.sums, name="sums"),
    path("unit/<int:number>/language", language.change, name="unit-language"),
    path("unit/<int:number>/question", views.question, name="question"),
    path("unit/<int:number>/receipt", views.receipt, name="receipt"),
    path("unit/<int:number>/quote/<int:edition>.pdf", views.paper, name="paper"),
    path("photos/<uuid:photo_id>", views.photo, name="photo"),
    path("announce", announce.announce, name="announce"),
    re_path(r"^stop/(?P<token>[\w-]{43})/(?P<what>[a-z]+)$", unsubscribe.stop, name="stop"),
    path("lost", lost.lost, name="lost"),
    path("language", language.change, name="language"),
    path("check", check.check, name="check"),
    re_path(r"^(?P<token>[0-9a-f]{40})$", views.enter, name="enter"),
]
