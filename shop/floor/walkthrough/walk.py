"""Who walks: the owner's browser, the customer's, a device at the API, and where messages are delivered."""

import io
import json
import time
import uuid
from email import message_from_bytes, policy
from email.message import EmailMessage
from html import escape
from typing import Any

from PIL import Image

from shop.floor.walkthrough.client import Browser, File, Form, Page
from shop.floor.walkthrough.private import Shop

WAIT_S = 60


class Otherwise(Exception):
    """Something was not so; says what was expected and what was found."""


def expect(so: object, wanted: str, found: object) -> None:
    """Go on when it is so. Raises Otherwise with what was wanted and what was found: a page, or any other thing."""
    if so:
        return
    if isinstance(found, Page):
        said = found.text or found.body[:600].decode(errors="replace")
        found = f"{found.status} at {found.address}: {said[:600]}"
    raise Otherwise(f"expected {wanted}; found {found}")


def picture(shade: int) -> File:
    """Return a small invented photo."""
    out = io.BytesIO()
    Image.new("RGB", (320, 200), (shade, 120, 90)).save(out, "JPEG")
    return "photo.jpg", out.getvalue()


class Walk:
    """Takes one unit through a shop at an address, signed in as its owner."""

    def __init__(self, shop: Shop, username: str, password: str) -> None:
        self.shop, self.username, self.password = shop, username, password
        # The API's browser gets its token on the way.
        self.staff, self.customer, self.api = Browser(shop.address), Browser(shop.address), Browser(shop.address)
        # A customer of this walk's own: in a running shop there are messages of earlier walks.
        self.sender, self.serial = f"noor.{uuid.uuid4().hex[:8]}@post.example", uuid.uuid4().hex[:8].upper()
        self.device = f"walkthrough {self.serial}"
        self.number, self.code, self.unit_id, self.link = 0, "", "", ""

    def page(self) -> Page:
        """Return the unit's staff page."""
        return self.staff.ask(f"/units/{self.number}")

    def do(self, verb: str, files: dict[str, File] | None = None, **typed: Any) -> Page:
        """Send one of the forms of the unit's page; the answer must be the unit's page again."""
        answer = self.staff.send(self.page(), f"/do/{verb}", files, **typed)
        expect(answer.status == 200, f"{verb} to be done", answer)
        return answer

    def message(self, subject: str) -> EmailMessage:
        """Return the newest message to the walk's customer whose subject has the words, waiting for the worker."""
        if self.shop.mail is None:
            raise Otherwise("expected a folder with messages; found none: name it with --mail")
        late = time.monotonic() + WAIT_S
        while time.monotonic() < late:
            for file in sorted(self.shop.mail.glob("*"), key=lambda path: path.stat().st_mtime, reverse=True):
                read = message_from_bytes(file.read_bytes().strip().rstrip(b"-"), policy=policy.default)
                if self.sender in str(read["To"]) and subject.lower() in str(read["Subject"]).lower():
                    return read
            time.sleep(0.5)
        raise Otherwise(f"expected a message about {subject!r}; found none in {self.shop.mail} after {WAIT_S} s")

    @staticmethod
    def words_of(message: EmailMessage) -> str:
        """Return the plain text of a message."""
        part = message.get_body(("plain",))
        return str(part.get_content()) if part else ""

    def call(self, path: str) -> Any:
        """Read from the API."""
        answer = self.api.ask(f"/api/v1/{path}")
        expect(answer.status == 200, f"{path} to be readable by the API", answer)
        return answer.json

    def post(self, path: str, body: dict[str, Any], *, key: str = "", version: int | None = None) -> Page:
        """Send something to the API, with a key for safe repeats and the version that was seen, if one is asked for."""
        headers = {"Content-Type": "application/json", "Idempotency-Key": key or uuid.uuid4().hex}
        if version is not None:
            headers["If-Match"] = f'"{version}"'
        return self.api.ask(f"/api/v1/{path}", json.dumps(body).encode(), "POST", **headers)

    def unit(self) -> dict[str, Any]:
        """Return the unit as the API shows it."""
        unit: dict[str, Any] = self.call(f"units/{self.unit_id}")
        return unit

    def steps_open(self) -> list[dict[str, Any]]:
        """Return the steps of the job sheet that are not ticked, by the API."""
        return [step for step in self.call(f"units/{self.unit_id}/steps")["items"] if not step["done_at"]]

    def tick_all(self, *, but: tuple[str, ...] = ()) -> int:
        """Tick by the API what is open, in order, and return how many."""
        ticked = 0
        for step in self.steps_open():
            if step["code"] in but:
                continue
            answer = self.post(f"units/{self.unit_id}/steps/{step['id']}/tick", self._evidence(step["evidence"]))
            expect(answer.status == 200, f"{step['words']!r} to be ticked", answer)
            ticked += 1
        return ticked

    def _evidence(self, wanted: str) -> dict[str, Any]:
        """Return what a step asks for with its tick: a photo that the unit has, or a reading."""
        if wanted == "photo":
            return {"photo": self.call(f"units/{self.unit_id}/photos")["items"][0]["photo"]["id"]}
        return {"value": {"volts": "0.2", "ohms": "480"}[wanted]} if wanted else {}

    def read_points(self, volts: str) -> int:
        """Take every reading that the procedure asks for now, through the page's own forms."""
        points = [form for form in self.page().forms if form.action.endswith("/do/reading")]
        for form in points:
            fields = dict(form.fields)
            typed = {"value": volts, "uncertainty": "0.02"} if "value" in fields else {"answer": "yes"}
            fields |= typed
            self.send_form(form, fields)
        return len(points)

    def groups_out(self) -> int:
        """Take out every group of fasteners that the page offers, or count four out where it knows none."""
        groups = 0
        while any(form.action.endswith("/do/group-out") for form in self.page().forms):
            self.do("group-out")
            groups += 1
        if not groups:
            self.do("fasteners-out", where="rear edge", kind="cross, 3 x 12 mm", count="4")
        return groups or 1

    def all_back(self) -> None:
        """Put every fastener back that is still out, place by place."""
        for form in self.page().forms:
            fields = dict(form.fields)
            if form.action.endswith("/do/fasteners-back") and "count" in fields:
                self.send_form(form, fields)

    def send_form(self, form: Form, fields: dict[str, str]) -> None:
        """Send one of several forms with the same address."""
        alone = Page(self.page().address, 200, _as_form(form.action, fields), "text/html")
        answer = self.staff.send(alone, form.action)
        expect(answer.status == 200, f"{form.action} to be done", answer)


def _as_form(action: str, fields: dict[str, str]) -> bytes:
    """Return a page with one form filled in, for one of several forms with the same address."""
    inputs = "".join(f'<input name="{escape(name)}" value="{escape(value)}">' for name, value in fields.items())
    return f'<form method="post" action="{escape(action)}">{inputs}</form>'.encode()
