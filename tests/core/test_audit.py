"""The security log: one line an event, whatever is put into it."""

import logging

import pytest

from shop.core.audit import Event, record


def test_it_writes_one_line_that_nobody_can_forge(caplog: pytest.LogCaptureFixture) -> None:
    record(Event.ROLE_REFUSED, address="192.0.2.7\nsigned_in who=owner", who="1 who=2", verb="a.b")
    assert caplog.messages[-1] == "role_refused from=192.0.2.7?signed_in?who?owner who=1?who?2 verb=a.b"


def test_it_says_louder_what_is_worth_a_look(caplog: pytest.LogCaptureFixture) -> None:
    record(Event.SIGNED_IN, address="192.0.2.7", who="7")
    record(Event.SIGN_IN_SLOWED, address="192.0.2.7")
    assert [line.levelname for line in caplog.records] == ["INFO", "WARNING"]


def test_it_counts_a_household_as_one(caplog: pytest.LogCaptureFixture) -> None:
    record(Event.LINK_REFUSED, address="2001:db8:1:2:3:4:5:6")
    record(Event.LINK_REFUSED, address="::ffff:192.0.2.7")
    assert caplog.messages == [
        "link_refused from=2001:db8:1:2::/64", "link_refused from=192.0.2.7"
    ]  # fmt: skip


def test_it_writes_no_customers_secret_when_a_request_goes_wrong(caplog: pytest.LogCaptureFixture) -> None:
    logging.getLogger("django.request").warning("%s: %s", "Too Many Requests", f"/c/{'0af3' * 10}")
    assert caplog.messages == ["Too Many Requests: /c/…"]
