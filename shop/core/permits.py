"""Which role may do what: the only such table. Verbs are named room.act; roles are written out, never implied."""

_OWNER = frozenset({"owner"})
_BENCH = frozenset({"owner", "technician"})
_DESK = frozenset({"owner", "counter"})
_STAFF = frozenset({"owner", "technician", "counter"})
_STAFF_AND_SYSTEM = _STAFF | {"system"}
_CUSTOMER = frozenset({"customer"})
_DESK_AND_CUSTOMER = _DESK | _CUSTOMER
_SYSTEM = frozenset({"system"})
_ANYBODY = _STAFF | {"customer", "system", "stranger"}

PERMITS: dict[str, frozenset[str]] = {
    "core.add_photo": _ANYBODY,
    "core.see_photo": _STAFF,
    "core.see_trail": _STAFF,
    "core.change_profile": _OWNER,
    "people.change_staff": _OWNER,
    "people.change_own_password": _STAFF,
    "people.issue_token": _OWNER,
    "people.write_customer": _DESK,
    "people.see_customer": _STAFF,
    "people.change_places": _OWNER,
    "parts.change": _OWNER,
    "boards.change": _BENCH,
    "boards.see": _STAFF,
    "units.announce": _ANYBODY,
    "units.see": _STAFF,
    "units.write_up": _DESK | {"technician"},
    "units.change_intake": _STAFF,
    "units.find": _STAFF,
    "units.move": _STAFF,
    "units.place": _STAFF,
    "units.hold": _STAFF,
    "units.link": _DESK,
    "units.ship": _DESK,
    "units.incident": _BENCH,
    "units.decide_comeback": _OWNER,
    "units.add_cost": _DESK,
    "notices.see": _STAFF,
    "notices.resend": _DESK,
    "notices.send": _SYSTEM,
    "work.do": _BENCH,
    "work.write_off": _OWNER,
    "quotes.write": _STAFF,
    "quotes.send": _DESK,
    "quotes.decide": _DESK_AND_CUSTOMER,
    "quotes.watch": _SYSTEM,
    "stock.change": _STAFF,
    "testing.measure": _BENCH,
    "testing.change": _OWNER,
    "books.take_payment": _DESK,
    "books.give_back": _OWNER,
    "books.bill": _DESK | _SYSTEM,
    "books.see": _DESK,
    "books.release": _DESK,
    "planning.promise": _STAFF_AND_SYSTEM,
    "floor.see": _STAFF,
    "floor.reckon": _STAFF,
}
