"""The first start, and what phones are shown."""

import io

import numpy
import pytest
import zxingcpp

from shop.core.models import TrailEntry
from shop.floor.first_start import first_owner_unasked, has_staff, network_address
from shop.floor.management.commands.serve import Command
from shop.people.models import User


def picture_of(drawn: str) -> numpy.ndarray:
    """Turn half blocks, as a dark terminal shows them, into pixels: a block is light there."""
    halves = {" ": (0, 0), "\xa0": (0, 0), "\u2580": (255, 0), "\u2584": (0, 255), "\u2588": (255, 255)}
    rows = []
    for line in drawn.splitlines():
        rows += [[halves[sign][half] for sign in line] for half in (0, 1)]
    return numpy.array(rows, dtype=numpy.uint8).repeat(8, axis=0).repeat(8, axis=1)


@pytest.mark.usefixtures("db")
def test_it_makes_one_owner_with_a_random_password() -> None:
    assert not has_staff()
    user, password = first_owner_unasked()
    assert has_staff()
    kept = User.objects.get()
    assert (kept.pk, kept.role) == (user.pk, "owner")
    assert kept.check_password(password)
    assert len(password) >= 16
    assert TrailEntry.objects.get().actor_id == "console"


def test_it_finds_an_address_that_phones_could_use() -> None:
    parts = network_address().split(".")
    assert len(parts) == 4
    assert all(0 <= int(part) <= 255 for part in parts)


def test_it_shows_the_address_as_a_code_that_a_phone_can_read() -> None:
    out = io.StringIO()
    Command(stdout=out)._greet("http://192.168.7.20:8000", lan=True)
    code, _blank, said = out.getvalue().partition("There is no HTTPS")
    assert "The shop is open at http://192.168.7.20:8000" in said
    (read,) = zxingcpp.read_barcodes(picture_of(code.strip("\n")))
    assert read.text == "http://192.168.7.20:8000"


def test_it_shows_no_code_on_this_machine_alone() -> None:
    out = io.StringIO()
    Command(stdout=out)._greet("http://127.0.0.1:8000", lan=False)
    assert out.getvalue().count("\n") == 1
