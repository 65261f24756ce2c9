import inspect, re, traceback, collections
from uuid import uuid4
import pytest
from shop.screens.verbs import VERBS, desk, moves, bench
from shop.screens.views import counter, shop as shopv, quote as quotev
from tests.screens.test_fuzz import _GOOD, known, _NASTY

pytestmark = pytest.mark.django_db(transaction=True)
V = [
    "",
    "-1",
    "999999",
    "99999999999999999999",
    "9" * 400,
    "1e999999999",
    "1e20",
    "NaN",
    "sNaN",
    "-Infinity",
    "0001-01-01",
    "9999-12-31",
    "2027-01-01",
    str(uuid4()),
    "00000000-0000-0000-0000-000000000000",
    "\u202eevil",
    "a" * 5000,
    "parts",
    "shipped",
    "post",
    "code",
    "sold",
    "recycled",
    "customer",
]


def fields_of(f):
    src = inspect.getsource(f)
    if "post" not in src:
        return []
    return set(
        re.findall(r'post(?:ed)?, "(\w+)"|post\.get\("(\w+)"', src)
        and [a or b for a, b in re.findall(r'post, "(\w+)"|post\.get(?:list)?\("(\w+)"', src)]
    )


def test_probe(known):
    b = known["browser"]
    b.raise_request_exception = False
    bad = collections.Counter()
    ex = {}
    from django.core.signals import got_request_exception
    import sys

    def note(**k):
        ex["last"] = "".join(traceback.format_exc().splitlines(True)[-6:])

    got_request_exception.connect(note)
    extra = {
        "parcel-in": ["carrier", "tracking", "declared"],
        "parcel-out": ["carrier", "tracking", "declared"],
        "change": ["serial", "complaint", "region", "version"],
    }
    posts = []
    for a in known["posts"]:
        v = a.rsplit("/", 1)[-1]
        if a.startswith("/units"):
            fs = list(fields_of(VERBS[v]) if VERBS[v].__name__ != "start" else ["bench", "version"]) + extra.get(v, [])
        elif a.startswith("/quotes"):
            fs = ["line", "words", "quantity", "price", "version", "kind", "note"]
        elif "write-up" in a:
            fs = [
                "customer",
                "model",
                "serial",
                "complaint",
                "services",
                "agreed",
                "spending_limit",
                "earlier_unit",
                "announcement",
                "cable",
            ]
        elif "waiting" in a:
            fs = ["customer", "entry", "device", "words"]
        elif "customer" in a:
            fs = ["name", "email", "phone", "postal_address"]
        elif "places" in a:
            fs = ["name", "kind", "capacity", "equipment"]
        elif "people" in a:
            fs = ["username", "name", "role", "password"]
        elif "devices" in a:
            fs = ["user", "name", "revoke"]
        elif "figures" in a:
            fs = [
                "name",
                "email",
                "phone",
                "time_zone",
                "diagnosis_fee",
                "quote_days",
                "warranty_days",
                "version",
                "street",
            ]
        elif "again" in a:
            fs = ["message", "once"]
        elif "tie" in a:
            fs = ["bench"]
        else:
            fs = ["username", "password", "next"]
        good = {k: v2 for k, v2 in _GOOD.items()} | known["ids"]
        if "devices" in a:
            good.pop("revoke", None)
        for f in fs:
            for val in V:
                g = good | {f: val}
                if f != "version":
                    g["version"] = ""
                if f == "name" and "places" in a or f == "username":
                    pass
                elif "places" in a:
                    g["name"] = uuid4().hex[:20]
                elif "people" in a:
                    g["username"] = uuid4().hex[:20]
                if f == "revoke":
                    g["revoke"] = val
                r = b.post(a, g)
                if r.status_code >= 500:
                    key = (re.sub(r"\d+", "N", a[:8]) + v, f, ex["last"].strip().splitlines()[-1][:150])
                    bad[key] += 1
                    ex.setdefault(key, (val[:30], ex["last"]))
    for k, n in bad.items():
        print("BAD", n, k, ex[k][0])
        print(ex[k][1])
    print("DONE")
    print("READY UNITS")
