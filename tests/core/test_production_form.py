"""The production form in a process of its own: what its own check says of it, and what its cookies are."""

import json
import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
SECRET = "0123456789-abcdefghijklmnopqrstuvwxyz-ABCDEFGHIJKLMNOP"
FORM = {
    "WICKLINE_ENV_FILE": os.devnull,
    "WICKLINE_FORM": "production",
    "WICKLINE_SECRET_KEY": SECRET,
    "WICKLINE_SHOP_ADDRESS": "https://shop.example",
    "WICKLINE_DATABASE_URL": "postgres://shop:x@127.0.0.1:9/shop",
    "WICKLINE_BROKER_URL": "redis://127.0.0.1:9/0",
    "WICKLINE_BEHIND_PROXY": "yes",
}
NAMES = [
    "SESSION_COOKIE_NAME", "CSRF_COOKIE_NAME", "CUSTOMER_COOKIE_NAME", "SESSION_COOKIE_SECURE", "CSRF_COOKIE_SECURE",
    "SESSION_COOKIE_HTTPONLY", "SESSION_COOKIE_SAMESITE", "SECURE_SSL_REDIRECT", "SECURE_HSTS_SECONDS", "DEBUG",
    "ALLOWED_HOSTS", "BEHIND_PROXY",
]  # fmt: skip


def _run(*command: str, folder: Path, **changed: str) -> subprocess.CompletedProcess[str]:
    bare = {name: value for name, value in os.environ.items() if not name.startswith("WICKLINE_")}
    environment = bare | FORM | {"WICKLINE_DATA_DIR": str(folder)} | changed
    return subprocess.run(
        [sys.executable, *command], cwd=ROOT, env=environment, capture_output=True, text=True, check=False, timeout=120
    )


def _settings(folder: Path, **changed: str) -> dict[str, object]:
    words = f"import json, shop.settings as s; print(json.dumps({{name: getattr(s, name) for name in {NAMES!r}}}))"
    done = _run("-c", words, folder=folder, **changed)
    assert done.returncode == 0, done.stderr
    read: dict[str, object] = json.loads(done.stdout)
    return read


def test_it_is_clean_by_its_own_check(tmp_path: Path) -> None:
    done = _run("-W", "error", "manage.py", "check", "--deploy", "--fail-level", "INFO", folder=tmp_path)
    assert done.returncode == 0, done.stderr
    assert "no issues (0 silenced)" in done.stdout


def test_it_sends_its_cookies_to_itself_and_over_https_alone(tmp_path: Path) -> None:
    read = _settings(tmp_path)
    assert [read[name] for name in NAMES[:3]] == [
        "__Host-wickline-session", "__Host-wickline-csrf", "__Host-wickline-link"
    ]  # fmt: skip
    assert read["SESSION_COOKIE_SECURE"] is read["CSRF_COOKIE_SECURE"] is read["SESSION_COOKIE_HTTPONLY"] is True
    assert read["SESSION_COOKIE_SAMESITE"] == "Lax"
    assert read["SECURE_SSL_REDIRECT"] is True
    assert read["SECURE_HSTS_SECONDS"] == 31_536_000
    assert read["DEBUG"] is False
    assert "*" not in read["ALLOWED_HOSTS"]  # type: ignore[operator]


def test_it_uses_plain_cookies_on_a_network_without_https(tmp_path: Path) -> None:
    read = _settings(tmp_path, WICKLINE_SHOP_ADDRESS="http://192.0.2.10:8000")
    assert read["SESSION_COOKIE_NAME"] == "wickline-session"
    assert read["SESSION_COOKIE_SECURE"] is read["SECURE_SSL_REDIRECT"] is False
