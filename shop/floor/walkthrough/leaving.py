"""Paid, packed, released, and the end."""

import re
import time
from typing import Any

from shop.floor.walkthrough.walk import WAIT_S, Otherwise, Walk, expect, picture

# Begun twice: with the diagnosis and, once approved, with the work.
TURNS = ["approved", "quote_ready", "ready", "received", "shipped", "started", "started"]


def ready_message(walk: Walk) -> str:
    """Read that it is ready."""
    walk.message("ready")
    return "the message that it is ready was delivered"


def pay(walk: Walk) -> str:
    """Bill and pay."""
    walk.do("pay", method="transfer", reference="walk")
    due = walk.call(f"units/{walk.unit_id}/due")
    expect(due["due_minor"] == 0 and due["paid_minor"] > 0, "nothing due any more", due)
    receipt = walk.staff.ask(f"/units/{walk.number}/receipt")
    expect(receipt.body.startswith(b"%PDF"), "a receipt", receipt)
    return f"paid {due['paid_minor']} minor units; the receipt is a PDF"


def parcel_leaves(walk: Walk) -> str:
    """Pack it before the camera and record the parcel."""
    walk.do("photo", {"photo": picture(200)}, purpose="packing_out")
    walk.do("parcel-out", carrier="Coastal Post", tracking="CP 8", declared="120")
    return "packed, photographed, carrier and number recorded"


def wrong_code(walk: Walk) -> str:
    """Try to release it against a made-up code."""
    answer = walk.staff.send(walk.page(), "/do/hand_over", check_kind="code", code="000000", outcome="shipped")
    expect(answer.status == 422, "a wrong code to be refused", answer)
    return "a made-up pickup code is refused"


def hand_over(walk: Walk) -> str:
    """Release it by post."""
    page = walk.do("hand_over", check_kind="post", outcome="shipped")
    expect("Shipped" in page.text, "the outcome", page)
    return "released by post: shipped"


def shipped_message(walk: Walk) -> str:
    """Read that it is on its way."""
    text = walk.words_of(walk.message("way"))
    expect("CP 8" in text, "the tracking number in the message", text)
    return "the message with the tracking number was delivered"


def every_turn_was_told(walk: Walk) -> str:
    """Look up that a message went out at each turn, waiting for the worker."""
    late = time.monotonic() + WAIT_S
    ours: list[dict[str, Any]] = []
    while time.monotonic() < late:
        ours = [message for message in walk.call("messages")["items"] if walk.unit_id in message["unit_ids"]]
        sent = sorted(event for message in ours if message["state"] == "done" for event in message["events"])
        if sent == TURNS:
            return f"{len(sent)} messages sent, one at each turn: {', '.join(sent)}"
        time.sleep(0.5)
    raise Otherwise(f"expected one message for each of {TURNS}; found {ours} after {WAIT_S} s")


def customer_sees_the_end(walk: Walk) -> str:
    """Look at the customer's page once more."""
    page = walk.customer.ask("/c/")
    expect("It has left the shop" in page.text, "the end on the customer's page", page)
    return "the customer's page says that it has left"


def trail_holds(walk: Walk) -> str:
    """Read the trail: every step is there, in order."""
    entries = walk.call(f"units/{walk.unit_id}/trail?limit=200")["items"]
    numbers = [entry["seq"] for entry in entries]
    expect(numbers == list(range(1, len(numbers) + 1)), "a trail without a gap", numbers)
    hashes = [entry["entry_hash"] for entry in entries]
    linked = [entry["previous_hash"] for entry in entries]
    expect(linked == ["", *hashes[:-1]], "each entry chained to the one before it", linked)
    kinds = [entry["what"] for entry in entries]
    for what in ("written_up", "diagnosed", "quote_approved", "test_failed", "released", "left"):
        expect(kinds.count(what) == 1, f"{what} in the trail, once", kinds)
    return f"the trail has {len(entries)} entries without a gap, each chained to the one before"


def stored_adds_up(walk: Walk) -> str:
    """Have the copy's stored data recomputed: the trail's chains, the stock, the books."""
    status, words = walk.shop.verify()
    expect(status == 0, "stored data that adds up", words)
    return f"recomputed from what is stored: {words}"


def token_withdrawn(walk: Walk) -> str:
    """Withdraw the device's token; the API is shut for it from then on."""
    html = walk.staff.ask("/shop").body.decode()
    found = re.search(rf'name="revoke" value="([0-9a-f-]{{36}})"><span>{walk.device}', html)
    expect(found, f"the device {walk.device!r} among the shop's", html)
    walk.staff.send(walk.staff.ask("/shop"), "/shop/devices", revoke=found[1] if found else "")
    answer = walk.api.ask(f"/api/v1/units/{walk.unit_id}")
    expect(answer.status == 401, "a withdrawn token to open nothing", answer)
    return "the device's token is withdrawn and opens nothing any more"
