"""From an envelope to a message: facts are made readable, sentences chosen, templates filled.

This happens when the message is sent, never before: the customer's private address is in no table.
"""

from dataclasses import dataclass, field
from urllib.parse import urlsplit

from django.conf import settings
from django.template.loader import render_to_string
from django.utils import translation

from shop.core.models import ShopProfile
from shop.core.profile import profile
from shop.core.reader import written_for
from shop.notices import editions, samples, unsubscribing, wishes, wording
from shop.notices.delivery import Message, one_line, printable
from shop.notices.editions import Wording
from shop.notices.facts import known_of, links_of
from shop.notices.models import Envelope, Event
from shop.notices.placeholders import Known, Line, fill
from shop.notices.segments import plain

_PREHEADER = 120


@dataclass(frozen=True, slots=True)
class Part:
    """One thing that a message tells: its event, what is known, in which words, and pages to open besides the unit's.

    unit says which unit it is about, so that one that is told of twice has one address in the message.
    """

    event: Event
    known: Known
    words: Wording
    links: list[tuple[str, str]] = field(default_factory=list)

    @property
    def subject(self) -> str:
        """Return its subject, on one line."""
        return one_line(fill(self.words.subject, self.known))

    @property
    def lines(self) -> list[str]:
        """Return its paragraphs; the standard ones when no paragraph of the owner's can be said."""
        return _said(self.words.lines, self.known) or _said(editions.standard(self.event).lines, self.known)

    def short(self, *, alone: bool) -> str:
        """Return its sentences for a text message; what leads over to the address only when it follows at once."""
        known = self.known if alone else {**self.known, "link": ""}
        return " ".join(_said(self.words.short, known) or _said(editions.standard(self.event).short, known))

    @property
    def link(self) -> str:
        """Return the address of the unit's page, where the part does not list addresses itself."""
        return "" if self.links else self.known.get("link", "")


def render(envelope: Envelope) -> Message:
    """Word an envelope as it would be sent now, in its own language. It changes nothing.

    Facts of a notice that are read: total_minor, due_minor (minor units of the shop's currency, due_minor below zero
    when money goes back), deposit_minor; valid_until, promised_on, moved_from, warranty_until (ISO dates); carrier,
    tracking; edition (a quote's number) and changes (short sentences, what is new in it); reason
    (plain words); renewed (true when the notice brings a new link); diagnosis (true when that is what was begun);
    waived (true when a deposit need not be paid); given_back (true when one is asked for again, since money went
    back); for an announcement code (a tag code), device and name.
    """
    with translation.override(envelope.language), written_for(envelope.language):
        if envelope.trial is not None:
            return _trial(envelope)
        notices = wishes.wanted(envelope)
        shop = profile()
        parts = [
            Part(
                Event(notice.event),
                known_of(notice, shop),
                editions.in_force(Event(notice.event), envelope.language),
                links_of(notice.unit.customer) if notice.unit and notice.event == Event.LINK_RENEWED else [],
            )
            for notice in notices
        ]
        group = unsubscribing.group_together(part.event for part in parts)
        customer_id = next((n.unit.customer_id for n in notices if n.unit and n.unit.customer_id), None)
        stop = unsubscribing.address_for(customer_id, group) if customer_id and group else ""
        return compose(envelope, parts, shop, stop=stop)


def _trial(envelope: Envelope) -> Message:
    """Word what the owner tries out, with invented facts."""
    shop, given = profile(), envelope.trial or {}
    event = Event(given["event"])
    words = editions.read(event, **{name: given[name] for name in ("subject", "paragraphs", "short")})
    return compose(envelope, [Part(event, samples.known(event, shop), words)], shop)


def compose(envelope: Envelope, parts: list[Part], shop: ShopProfile, *, stop: str = "") -> Message:
    """Lay parts out as one message, in the language that is active. stop is where its reader can stop such messages."""
    page = _page(parts, shop, stop) | {"language": envelope.language, "bidi": translation.get_language_bidi()}
    return Message(
        address=envelope.address,
        subject=str(page["subject"]),
        text=render_to_string("notices/message.txt", page).strip() + "\n",
        html=render_to_string("notices/message.html", page),
        message_id=envelope.message_id,
        sender_name=shop.name,
        reply_to=shop.email,
        short=_short(parts, shop, stop),
        stop=stop,
        reference=str(envelope.id),
    )


def _page(parts: list[Part], shop: ShopProfile, stop: str) -> dict[str, object]:
    """Return what the two templates show. A unit's tag and address and the closing words are said once."""
    told, seen, closing = [], set[str](), dict[str, None]()
    for part in parts:
        known = part.known
        new = known.get("number", "") not in seen
        seen.add(known.get("number", ""))
        told.append({
            "heading": part.subject,
            "lines": part.lines,
            "link": part.link if new else "",
            "links": part.links,
            "tag": known.get("tag", "") if new and not part.links else "",
            "model": known["model"],
            "number": known.get("number", ""),
        })  # fmt: skip
        closing |= dict.fromkeys(_said(wording.CLOSING, known))
    first = parts[0].known
    greeting = wording.GREETING if first.get("name") else wording.GREETING_UNNAMED
    return {
        "subject": _subject(parts),
        "preheader": one_line(" ".join(parts[0].lines))[:_PREHEADER],
        "greeting": one_line(fill(greeting, first)),
        "told": told,
        "several": len(parts) > 1,
        "closing": list(closing),
        "open_page": wording.OPEN_PAGE,
        "stop": stop,
        "stop_words": wording.STOP,
        "shop": {name: printable(getattr(shop, name)) for name in ("name", "street", "town", "phone")},
    }


def _subject(parts: list[Part]) -> str:
    """Return the subject: that of the one thing that is told, or one that says there are several."""
    if len(parts) == 1:
        return parts[0].subject
    units = {part.known.get("number", "") for part in parts}
    said = wording.NEWS_OF_ONE if len(units) == 1 else wording.NEWS_OF_SEVERAL
    return one_line(fill(said, {**parts[0].known, "count": str(len(units))}))


def _short(parts: list[Part], shop: ShopProfile, stop: str) -> str:
    """Return the text message: who writes, a sentence for each thing, and each address once, after its last thing."""
    said = [f"{shop.name}:"]
    for number, part in enumerate(parts):
        said.append(part.short(alone=len(parts) == 1))
        said += [to for _unit, to in part.links]
        if part.link and part.link not in {later.link for later in parts[number + 1 :]}:
            said.append(part.link)
    if stop:
        said.append(fill(wording.STOP_SHORT, {"stop": stop}))
    return one_line(plain(" ".join(said)))


def _said(lines: tuple[Line, ...], known: Known) -> list[str]:
    return [fill(each.text, known) for each in lines if each.said(known)]


def message_id(envelope_id: object) -> str:
    """Return the Message-ID that an envelope keeps: its own id at the shop's host (RFC 5322, 3.6.4).

    A receiver that gets the same message twice can tell by it. The host is cut to what the column holds.
    """
    host = urlsplit(settings.SHOP_ADDRESS).hostname or "localhost"
    return f"<{envelope_id}@{host[:80]}>"
