"""A browser without a screen: it sends forms as the pages would, and reads what the pages say."""

import html
import re
from typing import Any
from uuid import uuid4

from django.test import Client
from django.urls import reverse

from shop.units.models import Unit

_ALERT = re.compile(r'<div class="said bad" role="alert">(.*?)</div>', re.DOTALL)
_FORM = re.compile(r"<form\b(.*?)>(.*?)</form>", re.DOTALL)
_INPUT = re.compile(r"<input\b[^>]*>")
_ATTRIBUTE = re.compile(r'([\w-]+)="([^"]*)"')


def said(answer: Any) -> str:
    """The sentences of a refusal on a page, empty when there are none."""
    found = _ALERT.search(answer.content.decode())
    return html.unescape(re.sub(r"<[^>]+>", " ", found[1])).strip() if found else ""


def forms(answer: Any) -> dict[str, dict[str, str]]:
    """The posting forms of a page that have a button: their address, and the fields as they come filled."""
    found = {}
    for head, body in _FORM.findall(answer.content.decode()):
        attributes = dict(_ATTRIBUTE.findall(head))
        fields = [dict(_ATTRIBUTE.findall(tag)) for tag in _INPUT.findall(body)]
        if attributes.get("method") == "post" and "<button" in body:
            found[attributes.get("action", "")] = {
                field["name"]: html.unescape(field.get("value", "")) for field in fields if "name" in field
            }
    return found


class Browser(Client):
    """Asks for pages by name, and does verbs to units; each form gets a key of its own unless one is given."""

    def get(self, *args: Any, **more: Any) -> Any:
        return super().get(*args, **more)

    def post(self, *args: Any, **more: Any) -> Any:
        return super().post(*args, **more)

    def see(self, name: str, /, *args: object, **query: str) -> Any:
        return self.get(reverse(f"screens:{name}", args=args), query)

    def send(self, name: str, /, *args: object, **fields: Any) -> Any:
        fields = {"once": uuid4().hex} | {key: value for key, value in fields.items() if value is not None}
        return self.post(reverse(f"screens:{name}", args=args), fields)

    def do(self, unit: Unit, verb: str, /, **fields: Any) -> Any:
        return self.send("do", unit.number, verb, **fields)
