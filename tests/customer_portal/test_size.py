"""The customer's first view fits into the first flight of a connection."""

import gzip
import re
from pathlib import Path

import pytest
from django.contrib.staticfiles.finders import find

from tests.customer_portal.conftest import phone_of
from tests.screens.conftest import At

# Ten segments of 1,460 bytes: the initial window of RFC 6928, section 2.
FIRST_FLIGHT_BYTES = 14_600


@pytest.mark.parametrize("stage", ["intake", "quoted", "work", "pickup", "left"])
def test_the_first_view_and_its_style_fit_into_one_flight(unit_at: At, stage: str) -> None:
    page = phone_of(unit_at(stage)).get("/c/").content
    sheets = re.findall(r'<link rel="stylesheet" href="/static/([^"]+)"', page.decode())
    assert sheets
    files = [Path(str(find(sheet))).read_bytes() for sheet in sheets]
    assert sum(len(gzip.compress(part)) for part in [page, *files]) <= FIRST_FLIGHT_BYTES


def test_the_page_asks_nothing_of_third_parties(unit_at: At) -> None:
    page = phone_of(unit_at("quoted")).get("/c/").content.decode()
    assert all(there.startswith(("/", "#")) for there in re.findall(r'(?:src|href)="((?!mailto:|tel:)[^"]+)"', page))
