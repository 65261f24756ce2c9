"""Addresses of the staff's pages. What is printed on labels (/t, /p, /b) never changes."""

from django.urls import include, path, re_path

from shop.screens.views import (
    bench,
    counter,
    files,
    floor,
    library,
    notices,
    quote,
    scan,
    second_step,
    shop,
    sign,
    unit,
)

pages = [
    path("", floor.floor, name="floor"),
    path("sign-in", sign.sign_in, name="sign-in"),
    path("sign-in/code", sign.sign_in_code, name="sign-in-code"),
    path("me/second-step", second_step.second_step, name="second-step"),
    path("me/second-step/off", second_step.turn_off, name="second-step-off"),
    path("sign-out", sign.sign_out, name="sign-out"),
    path("counter", counter.counter, name="counter"),
    path("counter/customer", counter.new_customer, name="new-customer"),
    path("counter/write-up", counter.write_up_unit, name="write-up"),
    path("counter/waiting", counter.waiting, name="waiting"),
    path("units/<int:number>", unit.unit_page, name="unit"),
    path("units/<int:number>/do/<slug:verb>", unit.unit_do, name="do"),
    path("units/<int:number>/labels", files.unit_labels, name="unit-labels"),
    path("units/<int:number>/receipt", files.receipt, name="receipt"),
    path("quotes/<uuid:quote_id>", quote.quote_page, name="quote"),
    path("quotes/<uuid:quote_id>/do/<slug:verb>", quote.quote_do, name="quote-do"),
    path("bench", bench.bench, name="bench"),
    path("bench/tie", bench.tie, name="tie"),
    path("scan", scan.scan, name="scan"),
    path("scan/picture", scan.picture, name="scan-picture"),
    re_path(r"^(?P<letter>[tpb])/(?P<code>[0-9A-Za-z]{7})$", scan.label, name="label"),
    path("notices", notices.notices, name="notices"),
    path("notices/again", notices.again, name="notices-again"),
    path("shop", shop.shop, name="shop"),
    path("shop/places", shop.new_place, name="new-place"),
    path("shop/people", shop.new_person, name="new-person"),
    path("shop/devices", shop.devices, name="devices"),
    path("shop/figures", shop.figures, name="figures"),
    path("shop/labels", files.shop_labels, name="shop-labels"),
    path("library", library.library, name="library"),
    path("library/add/<slug:what>", library.library_do, name="library-do"),
    path("photos/<uuid:photo_id>", files.photo, name="photo"),
]

urlpatterns = [
    path("", include("shop.screens.health")),
    path("", include((pages, "screens"))),
]
