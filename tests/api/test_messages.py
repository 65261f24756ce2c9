"""Messages by the API: of a sort, one, the wording, what customers do not want, and what is heard back."""

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client
from pytest_django import Settings

from shop.core.actor import SYSTEM
from shop.notices import actions
from shop.notices.models import Envelope, Template
from shop.people.models import Customer
from shop.units.models import Unit
from tests.api.conftest import NOBODY, Device
from tests.notices.dsn import dsn

WORDS = {"subject": "Come, {model}", "paragraphs": "It shines.\n\n[if due] {due}", "short": ""}
SECRET = "a-secret-of-the-reports"


@pytest.fixture
def envelope(write: Callable[..., Unit], ada: Customer) -> Envelope:
    """The message that Ada's unit is here, sent."""
    write(ada)
    found = Envelope.objects.get()
    sent = actions.send_envelope(actor=SYSTEM, envelope_id=found.id)
    assert sent is not None
    return sent


def items(answer: Any) -> list[dict[str, Any]]:
    assert answer.status_code == 200, answer.content
    found: list[dict[str, Any]] = answer.json()["items"]
    return found


def test_messages_of_a_sort_and_one_in_full(desk: Device, envelope: Envelope) -> None:
    (listed,) = items(desk.get("messages/in-full?show=sent"))
    assert (listed["id"], listed["channel"], listed["delivery"], listed["dead"]) == (
        str(envelope.id),
        "email",
        "",
        False,
    )
    assert items(desk.get("messages/in-full?show=failed")) == []
    assert desk.get("messages/in-full?show=lost").status_code == 422
    assert desk.get(f"messages/{envelope.id}").json() == listed
    assert desk.get(f"messages/{NOBODY}").status_code == 404


def test_a_bounce_is_taken_once(desk: Device, envelope: Envelope) -> None:
    for _ in range(2):
        answer = desk.post("messages/bounces", {"message": dsn(envelope.message_id).decode()})
        assert (answer.status_code, answer.json()["state"]) == (200, "failed")
    (failed,) = items(desk.get("messages/in-full?show=failed"))
    assert (failed["delivery"], failed["came_back"], len(failed["heard"])) == ("bounced", 1, 1)
    assert desk.post(f"messages/{envelope.id}/again").status_code == 200


@pytest.mark.parametrize("message", ["", "Hello", dsn("<1@elsewhere.example>").decode()])
def test_what_is_no_bounce_of_ours_is_refused(desk: Device, shop: object, message: str) -> None:
    assert desk.post("messages/bounces", {"message": message}).status_code in (409, 422)


def test_the_gateway_reports_with_its_own_names_in_json_or_a_form(
    settings: Settings, envelope: Envelope, stranger: Device
) -> None:
    settings.SMS_REPORT_SECRET = SECRET
    settings.SMS_REPORT_FIELDS = {"reference": "ref", "number": "sid", "status": "state"}
    Envelope.objects.update(channel="sms", reference="gw-7")
    form = Client(SERVER_NAME="shop.test").post(
        f"/api/v1/messages/reports/{SECRET}",
        "sid=gw-7&state=delivered&more=of+it",
        content_type="application/x-www-form-urlencoded",
    )
    assert (form.status_code, form.content) == (204, b"")
    assert Envelope.objects.get().delivery == "delivered"
    answer = stranger.post(f"messages/reports/{SECRET}", {"ref": str(envelope.id), "state": "failed", "code": 30})
    assert answer.status_code == 204
    assert Envelope.objects.get().state == "failed"


def test_a_wrong_secret_is_no_address(settings: Settings, envelope: Envelope, stranger: Device) -> None:
    settings.SMS_REPORT_SECRET = SECRET
    Envelope.objects.update(channel="sms")
    for secret, body in (("guessed", {"reference": str(envelope.id)}), (SECRET, {}), (SECRET, [])):
        answer = stranger.post(f"messages/reports/{secret}", body)
        assert answer.status_code in (404, 422), answer.content
    assert Envelope.objects.get().state == "done"


def test_the_wording_is_listed_kept_looked_at_and_gone_back_from(boss: Device, desk: Device) -> None:
    assert all(not row["own"] for row in items(boss.get("wordings?language=en")))
    shown = boss.get("wordings/ready/en").json()
    assert (shown["edition"], shown["own"], shown["subject"]) == (0, False, "Your {model} is ready")
    seen = desk.post("wordings/ready/en/preview", WORDS).json()
    assert seen["subject"] == "Come, Quillon Lantern"
    assert "It shines." in seen["text"]
    assert seen["length"]["parts"] >= 1
    kept = boss.post("wordings/ready/en", WORDS | {"edition": 0}).json()
    assert (kept["edition"], kept["own"], kept["subject"]) == (1, True, "Come, {model}")
    assert boss.post("wordings/ready/en", WORDS | {"edition": 0}).status_code == 409
    assert boss.post("wordings/ready/en/reset", {"edition": 1}).json()["own"] is False
    assert [edition["edition"] for edition in boss.get("wordings/ready/en").json()["editions"]] == [2, 1]
    tried = boss.post("wordings/ready/en/try", WORDS)
    assert (tried.status_code, tried.json()["state"]) == (200, "due")


def test_an_unknown_placeholder_is_refused_with_those_that_there_are(boss: Device) -> None:
    answer = boss.post("wordings/ready/en", WORDS | {"edition": 0, "paragraphs": "{x.y}"})
    assert answer.status_code in (409, 422)
    assert "{model}" in answer.json()["detail"]
    assert not Template.objects.exists()
    for event, language in (("lost", "en"), ("ready", "xx")):
        assert boss.get(f"wordings/{event}/{language}").status_code == 404


def test_what_a_customer_does_not_want(desk: Device, ada: Customer) -> None:
    path = f"customers/{ada.id}/unwanted"
    assert [row["stopped"] for row in items(desk.get(path))] == [False, False, False]
    changed = items(desk.post(path, {"stop": ["progress", "dates"]}))
    assert {row["group"] for row in changed if row["stopped"]} == {"progress", "dates"}
    changed = items(desk.post(path, {"want": ["progress"]}))
    assert {row["group"] for row in changed if row["stopped"]} == {"dates"}
    assert desk.post(path, {"stop": ["contract"]}).status_code == 422
    assert desk.get(f"customers/{NOBODY}/unwanted").status_code == 404
