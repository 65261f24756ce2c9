"""Quotes by the API: named operations, templates, mark-ups, questions and the deposit."""

from collections.abc import Callable
from typing import Any

import pytest

from shop.books.models import PaymentRequest
from shop.core.models import ShopProfile
from shop.quotes.models import Decision, QuoteVersion
from shop.units import links
from shop.units.models import Unit
from tests.api.conftest import NOBODY, Device


@pytest.fixture
def draft(queued: Unit, desk: Device) -> dict[str, Any]:
    answer = desk.post(f"units/{queued.id}/quotes")
    assert answer.status_code == 201
    return dict(answer.json())


def change(device: Device, quote: dict[str, Any], *operations: dict[str, Any]) -> Any:
    version = device.get(f"quotes/{quote['id']}").json()["version"]
    return device.post(
        f"quotes/{quote['id']}/changes", {"operations": list(operations)}, **{"if-match": f'"{version}"'}
    )


def add(words: str, **more: Any) -> dict[str, Any]:
    return {"op": "add", "kind": "part", "words": words, "unit_minor": 1000, **more}


def codes(answer: Any) -> list[str]:
    return [reason["code"] for reason in answer.json()["reasons"]]


def test_it_writes_what_the_pages_write(desk: Device, draft: dict[str, Any]) -> None:
    made = change(
        desk, draft, add("Cable, component", optional=True, one_of="Cable", may_skip=True),
        add("Cable, composite", optional=True, one_of="Cable", may_skip=True, why="The cheaper one."),
        add("Own tube", whose_part="customer", unit_minor=0), {"op": "reason", "text": "You asked for a cable."},
        {"op": "add", "kind": "discount", "words": "For a regular", "percent_millipercent": 10_000},
    )  # fmt: skip
    assert made.status_code == 200, made.json()
    quote = made.json()
    assert (quote["net_minor"], quote["total_minor"]) == (5400, 5832)
    assert quote["why_changed"] == "You asked for a cable."
    by_words = {line["words"]: line for line in quote["lines"]}
    assert by_words["Own tube"]["about"].startswith("brought by you")
    assert by_words["Cable, composite"]["why"] == "The cheaper one."
    # 10.00 less 10 % and 8 % tax on it, whichever of the two it is.
    assert {option["change_minor"] for option in quote["options"]} == {972}
    assert {(option["group"], option["may_skip"]) for option in quote["options"]} == {("Cable", True)}


@pytest.mark.parametrize(
    ("operation", "status", "code"),
    [
        (add("x", quantity=0), 422, "min_value"),
        (add("x", one_of="Cable"), 422, "line_not_optional"),
        (add("x", whose_part="harvested"), 422, "donor_missing"),
        (add("x", whose_part="customer"), 422, "brought_with_price"),
        (add("x", percent_millipercent=1000), 422, "share_of_nothing"),
        (add("x", optional=True, needs=str(NOBODY)), 422, "option_never"),
        ({"op": "remove", "line_id": str(NOBODY)}, 422, "missing"),
        ({"op": "template", "template_id": str(NOBODY)}, 404, "missing"),
    ],
)
def test_it_refuses_what_the_pages_refuse_and_changes_nothing(
    desk: Device, draft: dict[str, Any], operation: dict[str, Any], status: int, code: str
) -> None:
    before = desk.get(f"quotes/{draft['id']}").json()
    answer = change(desk, draft, add("Good"), operation)
    assert (answer.status_code, code in codes(answer)) == (status, True), answer.json()
    assert desk.get(f"quotes/{draft['id']}").json() == before


def test_a_template_is_kept_used_and_taken_out_of_use(
    desk: Device, draft: dict[str, Any], write: Callable[..., Unit], bao: object
) -> None:
    change(desk, draft, add("Cable", optional=True))
    kept = desk.post("quote-templates", {"name": "Recap and cable", "quote_id": draft["id"]})
    assert kept.status_code == 201
    assert [each["name"] for each in desk.get("quote-templates").json()["items"]] == ["Recap and cable"]
    again = desk.post("quote-templates", {"name": "Recap and cable", "quote_id": draft["id"]})
    assert "template_named_before" in codes(again)
    other = desk.post(f"units/{write(bao).id}/quotes").json()
    used = change(desk, other, {"op": "template", "template_id": kept.json()["id"]})
    assert [line["words"] for line in used.json()["lines"]] == ["Recap", "Recap", "Cable"]
    assert desk.post(f"quote-templates/{kept.json()['id']}/retire").status_code == 200
    assert desk.get("quote-templates").json()["items"] == []


def test_mark_ups_are_the_owners(boss: Device, desk: Device) -> None:
    bands = [{"from_cost_minor": 0, "markup_millipercent": 50_000, "least_minor": 100}]
    assert desk.post("markup", {"bands": bands}).status_code == 403
    assert boss.post("markup", {"bands": bands}).json() == {"bands": bands}
    assert desk.get("markup").json() == {"bands": bands}
    refused = boss.post("markup", {"bands": [bands[0] | {"from_cost_minor": 5}]})
    assert (refused.status_code, codes(refused)) == (422, ["bands_from_nothing"])
    assert desk.get("markup").json() == {"bands": bands}


def test_questions_wait_until_they_are_answered_once(queued: Unit, desk: Device) -> None:
    link = links.open_link(queued)
    assert link is not None
    phone = Device(f"Link {links.token_of(link)}")
    asked = phone.post("link/questions", {"question": "<b>When?</b>"})
    assert (asked.status_code, asked.json()["asked"], asked.json()["answer"]) == (201, "<b>When?</b>", "")
    assert phone.post("link/questions", {"question": "<b>When?</b>"}).json()["id"] == asked.json()["id"]
    assert [each["id"] for each in desk.get("questions").json()["items"]] == [asked.json()["id"]]
    told = desk.post(f"questions/{asked.json()['id']}/answer", {"answer": "On Friday."})
    assert (told.status_code, told.json()["answered_by"]) == (200, "Pim Halvorsen")
    assert desk.get("questions").json()["items"] == []
    assert phone.get("link/progress").json()["questions"][0]["answer"] == "On Friday."
    late = desk.post(f"questions/{asked.json()['id']}/answer", {"answer": "On Monday."})
    assert "question_answered" in codes(late)
    assert [each["answer"] for each in desk.get(f"units/{queued.id}/questions").json()["items"]] == ["On Friday."]


def test_a_deposit_is_waived_with_a_reason(queued: Unit, desk: Device, draft: dict[str, Any]) -> None:
    ShopProfile.objects.update(deposit_percent=50)
    sent = desk.post(f"quotes/{draft['id']}/send", **{"if-match": f'"{draft["version"]}"'}).json()
    assert sent["deposit_minor"] == 3240
    body = {"approve": True, "shown_sha256": sent["content_sha256"], "total_minor": 1, "deposit_minor": 0}
    tampered = desk.post(f"quotes/{draft['id']}/decision", body)
    assert tampered.status_code == 422  # a total is not asked for, so none is taken
    assert not Decision.objects.exists()
    honest = {name: body[name] for name in ("approve", "shown_sha256")}
    assert desk.post(f"quotes/{draft['id']}/decision", honest).json()["total_minor"] == 6480
    assert desk.post(f"units/{queued.id}/deposit/waive", {"reason": " "}).status_code == 422
    waived = desk.post(f"units/{queued.id}/deposit/waive", {"reason": "A regular"})
    assert (waived.status_code, waived.json()["amount_minor"]) == (200, 3240)
    assert "no_deposit_open" in codes(desk.post(f"units/{queued.id}/deposit/waive", {"reason": "Again"}))


def test_a_deposit_that_goes_back_with_a_double_tap_is_asked_for_once(
    queued: Unit, desk: Device, boss: Device, draft: dict[str, Any]
) -> None:
    ShopProfile.objects.update(deposit_percent=50)
    sent = desk.post(f"quotes/{draft['id']}/send", **{"if-match": f'"{draft["version"]}"'}).json()
    desk.post(f"quotes/{draft['id']}/decision", {"approve": True, "shown_sha256": sent["content_sha256"]})
    assert desk.post(f"units/{queued.id}/payments", {"amount_minor": 3240, "method": "cash"}).status_code == 201
    body = {"amount_minor": 1240, "method": "cash", "reason": "The wrong card"}
    taps = [boss.post(f"units/{queued.id}/give-back", body, **{"Idempotency-Key": "tap-9"}) for _tap in range(2)]
    assert [(tap.status_code, tap.json()["amount_minor"]) for tap in taps] == [(201, -1240)] * 2
    assert list(PaymentRequest.objects.filter(settled_at=None).values_list("amount_minor", flat=True)) == [3240]
    assert [hold["kind"] for hold in desk.get(f"units/{queued.id}").json()["holds"]] == ["deposit"]
    assert desk.post(f"units/{queued.id}/payments", {"amount_minor": 1240, "method": "cash"}).status_code == 201
    assert "no_deposit_open" in codes(desk.post(f"units/{queued.id}/deposit/waive", {"reason": "An old page"}))


def test_an_older_edition_is_no_longer_approved(queued: Unit, desk: Device, draft: dict[str, Any]) -> None:
    first = desk.post(f"quotes/{draft['id']}/send", **{"if-match": f'"{draft["version"]}"'}).json()
    newer = desk.post(f"units/{queued.id}/quotes").json()
    desk.post(f"quotes/{newer['id']}/send", **{"if-match": f'"{newer["version"]}"'})
    answer = desk.post(
        f"quotes/{first['id']}/decision", {"approve": True, "shown_sha256": first["content_sha256"]}
    )  # fmt: skip
    assert codes(answer) == ["quote_replaced"]
    assert "A newer edition has taken the place of number 1." in answer.json()["detail"]
    assert set(QuoteVersion.objects.values_list("state", flat=True)) == {"replaced", "sent"}
