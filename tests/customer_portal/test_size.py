"""The customer's first view fits in the first flight of a connection: ten segments of 1,460 bytes (RFC 6928)."""

import gzip
from pathlib import Path

from django.contrib.staticfiles import finders
from django.test import Client

from shop.floor.demo.floorful import stock_the_floor
from shop.floor.demo.stock_in_trade import furnish
from shop.units import links

FIRST_FLIGHT_BYTES = 14_600


def test_page_and_style_sheet_together(db: None) -> None:
    address = links.address_for(stock_the_floor(furnish()))
    client = Client(SERVER_NAME="shop.test")
    client.get(address.removeprefix("http://shop.test"))
    answer = client.get("/c/", headers={"Accept-Encoding": "gzip"})
    sheet = finders.find("floor/paper.css")
    assert answer.headers["Content-Encoding"] == "gzip"
    assert len(answer.content) + len(gzip.compress(Path(str(sheet)).read_bytes())) <= FIRST_FLIGHT_BYTES
    assert b"//" not in gzip.decompress(answer.content).replace(b"http://www.w3.org", b"").replace(
        b"http://shop.test", b""
    )
