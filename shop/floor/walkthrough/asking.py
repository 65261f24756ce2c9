"""Diagnosis, quote, and the customer's answer."""

import re
from urllib.parse import urlsplit

from shop.floor.walkthrough.walk import Walk, expect, picture


def diagnosis(walk: Walk) -> str:
    """Take it to a bench under the agreed fee."""
    page = walk.do("start_diagnosis")
    expect("for diagnosis" in page.text, "the unit on a bench for diagnosis", page)
    return "on a bench for a diagnosis, under the agreed fee"


def open_and_look(walk: Walk) -> str:
    """Open, identify, photograph, measure, and finish."""
    groups = walk.groups_out()
    walk.do("revision")
    walk.do("photo", {"photo": picture(40)}, purpose="board")
    walk.read_points("4.61")
    ticked = walk.tick_all()
    page = walk.do("finish_diagnosis")
    expect("Waits its turn" in page.text, "the unit back in the queue", page)
    return f"opened ({groups} groups of fasteners out), identified, photographed, measured; {ticked} steps ticked"


def quote(walk: Walk) -> str:
    """Draft the quote with postage and send it."""
    draft = walk.staff.send(walk.page(), "/do/draft", postage="14.50")
    expect("/quotes/" in draft.address and "Recap" in draft.text, "a draft with the wished-for services", draft)
    page = walk.staff.send(draft, "/do/send")
    expect("Waits for the customer's answer" in page.text, "the unit held for approval", page)
    return "quote sent; the unit waits for approval"


def quote_message(walk: Walk) -> str:
    """Read the message with the link."""
    found = re.search(r"/c/[0-9a-f]{40}", walk.words_of(walk.message("quote")))
    expect(found, "the customer's link in the message", walk.words_of(walk.message("quote")))
    walk.link = found[0] if found else ""
    return "the message with the customer's private link was delivered"


def link_from_staff(walk: Walk) -> str:
    """Take the link from the staff's side, where no message can be read."""
    walk.link = urlsplit(walk.call(f"units/{walk.unit_id}/link")["address"]).path
    return "the staff can show the customer's private link"


def customer_looks(walk: Walk) -> str:
    """Open the link as the customer."""
    page = walk.customer.ask(walk.link)
    expect(page.status == 200 and page.address.endswith("/c/"), "the page at an address without the secret", page)
    for words in ("Where is it?", "When is it done?", "What does it cost?", "Recap", "Return postage", "Total"):
        expect(words in page.text, f"{words!r} on the customer's page", page)
    offered = walk.customer.ask("/api/v1/link/progress").json["quote"]
    taken = [line for line in offered["lines"] if line["taken"]]
    total = sum(line["net_minor"] for line in taken) + offered["tax_minor"]
    expect(total == offered["total_minor"], "lines and tax that make the total", offered)
    expect(f'data-total="{total}"' in page.body.decode(), f"the total of {total} on the page", page)
    expect(all(line["words"] in page.text for line in offered["lines"]), "every line on the page", page)
    guess = walk.customer.ask("/c/" + "0" * 40)
    expect(guess.status == 404, "a guessed link to open nothing", guess)
    return "the page answers where, when and what it costs, to the cent; a guessed link opens nothing"


def customer_approves(walk: Walk) -> str:
    """Take an option and approve, twice, as an impatient thumb does."""
    page = walk.customer.ask("/c/")
    option = re.search(r'name="taken" value="([^"]+)"', page.body.decode())
    expect(option, "an option to take", page)
    quoted = walk.customer.ask("/api/v1/link/progress").json["quote"]
    offered, agreed = quoted["options"], [term["code"] for term in quoted["terms"] if term["asks"]]
    for _ in range(2):
        answer = walk.customer.send(page, "/answer", taken=option[1] if option else "", agreed=agreed, answer="yes")
        expect("Your answer is recorded" in answer.text, "a thank-you for the answer", answer)
    editions = walk.call(f"units/{walk.unit_id}/quotes")["items"]
    decided = [edition["total_minor"] for edition in editions if edition["state"] == "approved"]
    wanted = [offered[0]["total_with_minor"]]
    expect(decided == wanted, f"one approved edition over {wanted}, the option in it", editions)
    return f"approved with an option by a double tap: one decision over {decided[0]} minor units"


def promise(walk: Walk) -> str:
    """See the promised day."""
    day, shown = walk.unit()["promised_on"], walk.customer.ask("/api/v1/link/progress").json["promised_on"]
    expect(day and day == shown, "a promised day, the same for the staff and the customer", (day, shown))
    return f"promised for {day}"
