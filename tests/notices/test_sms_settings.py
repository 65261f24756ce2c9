"""A bad setting of the gateway stops the start with a sentence, and no secret is shown."""

from pathlib import Path

import pytest

from tests.core.running import OwnShop


@pytest.mark.parametrize(
    ("name", "value", "sentence"),
    [
        ("WICKLINE_SMS_URL", "http://gateway.example/", "is not like https://gateway.example/messages."),
        ("WICKLINE_SMS_HEADER", "Bearer hush-hush", "has no colon: write it like Authorization: Bearer word."),
        ("WICKLINE_SMS_FORM", "xml", "is 'xml': write json or form."),
        ("WICKLINE_SMS_FIELDS", "to=to,text", "cannot be read: write it like to=to,text=text"),
        ("WICKLINE_SMS_FIELDS", "to=to", "names to and text, and may name sender and reference."),
        ("WICKLINE_SMS_REPORT_SECRET", "hush-hush", "is shorter than 20 characters: make a longer random one."),
    ],
)
def test_a_bad_value_stops_the_start(tmp_path: Path, name: str, value: str, sentence: str) -> None:
    done = OwnShop(tmp_path, **{name: value}).manage("check", check=False)
    assert done.returncode == 1
    assert done.stderr.startswith(f"Wickline does not start. {name} {sentence}")
    assert "hush-hush" not in done.stdout + done.stderr
