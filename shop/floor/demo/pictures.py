"""Pictures for the demo, drawn here: a board, a case and a parcel that never existed."""

import io
import random

from PIL import Image, ImageDraw

from shop.core.actor import Actor
from shop.core.models import Photo
from shop.core.photos import add_photo

_SIZE = (1200, 800)
_KEPT = (750, 500)


def photo(actor: Actor, kind: str, seed: int) -> Photo:
    """Store an invented picture; kind is board, case or parcel, seed makes each a little different."""
    drawn = {"board": _board, "case": _case, "parcel": _parcel}[kind](random.Random(seed))  # noqa: S311
    out = io.BytesIO()
    drawn.resize(_KEPT).save(out, "JPEG", quality=80)
    out.seek(0)
    return add_photo(actor=actor, upload=out)


def _board(dice: random.Random) -> Image.Image:
    image = Image.new("RGB", _SIZE, "#2e2a24")
    pen = ImageDraw.Draw(image)
    pen.rounded_rectangle((60, 60, 1140, 740), 18, fill="#7a6a2f")
    for _ in range(70):
        x, y = dice.randrange(90, 1050), dice.randrange(90, 700)
        pen.line([(x, y), (x + dice.randrange(30, 160), y)], fill="#94823b", width=5)
    for _ in range(9):
        x, y = dice.randrange(120, 980), dice.randrange(110, 600)
        pen.rectangle((x, y, x + dice.choice((90, 130)), y + 60), fill="#1d1d1f")
    for _ in range(11):
        x, y = dice.randrange(110, 1060), dice.randrange(110, 660)
        pen.ellipse((x, y, x + 46, y + 46), fill="#3a3f46", outline="#9aa0a8", width=4)
        pen.pieslice((x, y, x + 46, y + 46), 60, 120, fill="#d9dde3")
    return image


def _case(dice: random.Random) -> Image.Image:
    image = Image.new("RGB", _SIZE, "#d8d0c2")
    pen = ImageDraw.Draw(image)
    pen.rounded_rectangle((170, 180, 1030, 640), 46, fill="#8f8a80", outline="#5f5b53", width=6)
    pen.rounded_rectangle((420, 250, 780, 330), 12, fill="#57534b")
    for index in range(9):
        pen.line([(240 + index * 22, 420), (240 + index * 22, 590)], fill="#6d685f", width=7)
    for _ in range(5):
        x, y = dice.randrange(220, 960), dice.randrange(220, 600)
        pen.line([(x, y), (x + dice.randrange(20, 90), y + dice.randrange(-20, 20))], fill="#b8b2a6", width=3)
    return image


def _parcel(dice: random.Random) -> Image.Image:
    image = Image.new("RGB", _SIZE, "#efe9dd")
    pen = ImageDraw.Draw(image)
    pen.rectangle((240, 170, 960, 670), fill="#b58a58", outline="#86643c", width=5)
    pen.rectangle((570, 170, 640, 670), fill="#cfae82")
    x = dice.randrange(300, 500)
    pen.rectangle((x, 260, x + 210, 400), fill="#f8f5ee")
    return image
