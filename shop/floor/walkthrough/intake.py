"""Intake: announced, written up, labelled, taken in."""

import io
import re
from typing import Any
from urllib.parse import urlencode, urlsplit

import zxingcpp
from PIL import Image

from shop.floor.walkthrough.client import Browser
from shop.floor.walkthrough.walk import Walk, expect, picture


def announce(walk: Walk) -> str:
    """Announce a parcel on the public page."""
    page = walk.customer.ask("/c/announce")
    told: dict[str, Any] = {
        "name": "Noor de Wit",
        "email": walk.sender,
        "device": "Quillon Lantern",
        "complaint": "Only a grey picture",
    }
    answer = walk.customer.send(page, "", **told)
    found = re.search(r"\b([0-9A-Z]{3}-[0-9A-Z]{4}[0-9A-Z*~$=])", answer.text)
    expect(found, "a code for the parcel", answer)
    walk.code = found[1] if found else ""
    return f"announced on the public page, code for the parcel {walk.code}"


def packing_message(walk: Walk) -> str:
    """Read the packing advice."""
    text = walk.words_of(walk.message("how to send"))
    expect(walk.code in text, f"the code {walk.code} in the message with packing advice", text)
    return "the message with packing advice and the code was delivered"


def sign_in(walk: Walk) -> str:
    """Sign in on the staff's page."""
    page = walk.staff.send(walk.staff.ask("/sign-in"), "", username=walk.username, password=walk.password)
    expect(page.status == 200 and "Floor" in page.text, "the floor after signing in", page)
    return "signed in"


def write_up(walk: Walk) -> str:
    """Write down the customer, then the unit."""
    counter = walk.staff.ask("/counter")
    page = walk.staff.send(counter, "/counter/customer", name="Noor de Wit", email=walk.sender, notice_consent="on")
    expect("A unit of Noor de Wit" in page.text, "the write-up for the customer", page)
    html = page.body.decode()
    model = re.search(r'<option value="([0-9a-f-]{36})">Quillon Lantern', html)
    services = re.findall(r'name="services" value="([0-9a-f-]{36})"[^>]*> (Recap|Clean)', html)
    expect(model and len(services) == 2, "the demo's library: Quillon Lantern, Recap, Clean", page)
    page = walk.staff.send(
        page, "/counter/write-up", model=model[1] if model else "", serial=walk.serial, complaint="Only a grey picture",
        services=[service for service, _name in services], agreed="fee", by_mail="on", announcement=walk.code,
        consent_save_data="on", consent_work="on",
    )  # fmt: skip
    expect("/units/" in page.address, "the unit's page", page)
    walk.number = int(page.address.rsplit("/", 1)[1])
    return f"written up as unit {walk.number:04d}, met with its announcement"


def parcel_arrives(walk: Walk) -> str:
    """Record the parcel with its picture."""
    walk.do("parcel-in", carrier="Coastal Post", tracking="CP 7", declared="120")
    walk.do("photo", {"photo": picture(150)}, purpose="packing_in")
    return "parcel, declared value and a picture of the packing recorded"


def label_reads_back(walk: Walk) -> str:
    """Fetch the label and read it with another program than the one that drew it."""
    answer = walk.staff.ask(f"/units/{walk.number}/labels?as=png")
    codes = zxingcpp.read_barcodes(Image.open(io.BytesIO(answer.body)))
    read = [code.text for code in codes]
    expect(len(read) == 1 and re.search(r"/t/[0-9A-Z]{7}$", read[0]), "one QR code with the bag's address", read)
    page = walk.staff.ask(urlsplit(read[0]).path)
    expect(page.address.endswith(f"/units/{walk.number}"), "the unit behind the printed address", page)
    walk.code = read[0].rsplit("/", 1)[1]
    return f"the label's QR code reads back as {read[0]}, which opens the unit"


def typed_code(walk: Walk) -> str:
    """Type the tag code: with its check symbol it leads to the unit, with another one it is refused."""
    printed = re.search(rf"{walk.code[:3]}-?{walk.code[3:]}([0-9A-Z*~$=])", walk.page().text)
    expect(printed, f"the tag code {walk.code} with its check symbol", walk.page())
    symbol = printed[1] if printed else ""
    right = walk.staff.ask(f"/scan?{urlencode({'text': walk.code + symbol})}")
    expect(right.address.endswith(f"/units/{walk.number}"), "the unit after typing its code", right)
    other = "0" if symbol != "0" else "1"
    wrong = walk.staff.ask(f"/scan?{urlencode({'text': walk.code + other})}")
    expect(wrong.status == 422, f"the check symbol {other} to be refused", wrong)
    return f"typed with {symbol} the code leads to the unit, with {other} it is refused"


def scan_and_take_in(walk: Walk) -> str:
    """Scan the label's picture, which leads to the unit, and take it in."""
    label = walk.staff.ask(f"/units/{walk.number}/labels?as=png").body
    answer = walk.staff.send(walk.staff.ask("/scan"), "/scan/picture", {"photo": ("label.png", label)})
    expect(answer.address.endswith(f"/units/{walk.number}"), "the unit's page after scanning its label", answer)
    page = walk.do("take_in")
    expect("Waits its turn" in page.text, "the unit in the queue", page)
    return "a photo of the label leads to the unit; taken in, it lies on a shelf"


def token(walk: Walk) -> str:
    """Issue a device's token and look at the unit through the API."""
    page = walk.staff.ask("/shop")
    owner = re.search(r'<option value="([0-9a-f-]{36})">[^<]*\(owner\)', page.body.decode())
    expect(owner, "an owner among the people", page)
    page = walk.staff.send(page, "/shop/devices", name=walk.device, user=owner[1] if owner else "", revoke=None)
    found = re.search(r"\bwl_[\w-]+", page.text)
    expect(found, "a token, shown once", page)
    walk.api = Browser(walk.shop.address, {"Authorization": f"Bearer {found[0] if found else ''}"})
    units = walk.call(f"units/search?text={walk.number}")["items"]
    ours = [unit["id"] for unit in units if unit["number"] == walk.number]
    expect(len(ours) == 1, f"unit {walk.number} by the API's search", units)
    walk.unit_id = ours[0]
    return f"a device's token opens the API; the unit is {walk.unit_id}"
