"""A small browser: cookies, links, forms. It knows pages only by what they say."""

import json
import uuid
from collections.abc import Mapping
from dataclasses import dataclass, field
from html.parser import HTMLParser
from http.cookiejar import CookieJar
from typing import Any
from urllib.error import HTTPError
from urllib.parse import urlencode, urljoin
from urllib.request import HTTPCookieProcessor, Request, build_opener

File = tuple[str, bytes]


@dataclass
class Form:
    """A form of a page: where it goes and what is in it before anybody types."""

    action: str
    method: str
    fields: list[tuple[str, str]] = field(default_factory=list)


class _Reader(HTMLParser):
    """Collect the text and the forms of a page. Buttons are left out: who presses one names its value."""

    def __init__(self) -> None:
        super().__init__()
        self.words: list[str] = []
        self.forms: list[Form] = []
        self._form: Form | None = None
        self._select = self._textarea = ""
        self._options: list[tuple[str, bool]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Open a form, or take a field of the open one."""
        given = {name: value or "" for name, value in attrs}
        if tag == "form":
            self._form = Form(given.get("action", ""), given.get("method", "get").lower())
            self.forms.append(self._form)
        elif tag == "select":
            self._select, self._options = given.get("name", ""), []
        elif tag == "option":
            self._options.append((given.get("value", ""), "selected" in given))
        elif tag == "textarea":
            self._textarea = given.get("name", "")
        elif tag == "input" and self._form is not None and given.get("name") and _counts(given):
            self._form.fields.append((given["name"], given.get("value", "on")))

    def handle_endtag(self, tag: str) -> None:
        """Close a form or a select, whose chosen option counts."""
        if tag == "form":
            self._form = None
        elif tag == "textarea":
            self._textarea = ""
        elif tag == "select" and self._form is not None and self._options:
            chosen = next((value for value, selected in self._options if selected), self._options[0][0])
            self._form.fields.append((self._select, chosen))

    def handle_data(self, data: str) -> None:
        """Keep what people read, and what is in a textarea."""
        self.words.append(data)
        if self._textarea and self._form is not None:
            self._form.fields.append((self._textarea, data))


def _counts(given: dict[str, str]) -> bool:
    """Tell whether an input is sent as it stands: a tick counts when it is set, a file never."""
    return given.get("type") not in ("checkbox", "radio", "file") or "checked" in given


@dataclass
class Page:
    """An answer: where it came from, its status and its bytes."""

    address: str
    status: int
    body: bytes
    kind: str

    def __post_init__(self) -> None:
        self._reader = _Reader()
        if "html" in self.kind:
            self._reader.feed(self.body.decode())

    @property
    def text(self) -> str:
        """Return what people read, with single blanks."""
        return " ".join(" ".join(self._reader.words).split())

    @property
    def json(self) -> Any:
        """Return the body as JSON."""
        return json.loads(self.body)

    @property
    def forms(self) -> list[Form]:
        """Return the page's forms in order."""
        return self._reader.forms

    def form(self, action: str) -> Form:
        """Return the first form whose address ends with action. Raises LookupError."""
        for form in self._reader.forms:
            if form.action.split("?")[0].endswith(action):
                return form
        raise LookupError(f"{self.address} has no form for {action!r}; it says: {self.text[:300]}")


class Browser:
    """Keeps cookies and follows redirects, for one person."""

    def __init__(self, base: str, headers: Mapping[str, str] | None = None) -> None:
        self.base = base
        self._headers = dict(headers or {})
        self._opener = build_opener(HTTPCookieProcessor(CookieJar()))

    def ask(self, path: str, data: bytes | None = None, method: str | None = None, **headers: str) -> Page:
        """Send one request and return the answer, whatever its status."""
        address = urljoin(self.base, path)
        request = Request(address, data=data, method=method, headers=self._headers | headers)  # noqa: S310
        try:
            with self._opener.open(request, timeout=60) as answer:
                return Page(answer.url, answer.status, answer.read(), answer.headers.get("Content-Type", ""))
        except HTTPError as refusal:
            with refusal:
                return Page(address, refusal.code, refusal.read(), refusal.headers.get("Content-Type", ""))

    def send(self, page: Page, action: str, files: Mapping[str, File] | None = None, **typed: Any) -> Page:
        """Fill in a form of a page and send it; a typed None takes a field out, a list is several values."""
        form = page.form(action)
        fields = [(name, value) for name, value in form.fields if name not in typed]
        for name, value in typed.items():
            values = value if isinstance(value, list) else [] if value is None else [value]
            fields += [(name, str(each)) for each in values]
        address = urljoin(page.address, form.action or page.address)
        if form.method == "get":
            return self.ask(f"{address}?{urlencode(fields)}")
        if files is None:
            kind, data = "application/x-www-form-urlencoded", urlencode(fields).encode()
        else:
            kind, data = _multipart(fields, files)
        return self.ask(address, data, "POST", **{"Content-Type": kind, "Referer": page.address})


def _multipart(fields: list[tuple[str, str]], files: Mapping[str, File]) -> tuple[str, bytes]:
    """Return content type and body of a form with files (RFC 7578)."""
    mark = uuid.uuid4().hex
    parts = [f'--{mark}\r\nContent-Disposition: form-data; name="{name}"\r\n\r\n{value}\r\n' for name, value in fields]
    body = "".join(parts).encode()
    for name, (filename, content) in files.items():
        head = f'--{mark}\r\nContent-Disposition: form-data; name="{name}"; filename="{filename}"\r\n'
        body += (head + "Content-Type: application/octet-stream\r\n\r\n").encode() + content + b"\r\n"
    return f"multipart/form-data; boundary={mark}", body + f"--{mark}--\r\n".encode()
