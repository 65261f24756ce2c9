"""What machines that watch the shop are told."""

from pathlib import Path

import pytest
from celery import current_app
from django.db import connection
from django.test import Client

from shop.screens import health


@pytest.fixture(autouse=True)
def _forget() -> None:
    health._seen_fitting.cache_clear()


def test_livez_answers_without_touching_anything(client: Client) -> None:
    answer = client.get("/livez")
    assert (answer.status_code, answer.content) == (200, b"The shop runs.\n")
    assert answer["Content-Type"] == "text/plain; charset=utf-8"
    assert "no-store" in answer["Cache-Control"]


@pytest.mark.usefixtures("db")
def test_readyz_is_well_when_database_tables_and_broker_answer(client: Client) -> None:
    answer = client.get("/readyz")
    assert (answer.status_code, answer.content) == (200, b"Ready: the database, its tables and the broker answer.\n")


@pytest.mark.usefixtures("db")
def test_readyz_looks_at_the_tables_until_they_fit(client: Client) -> None:
    with connection.cursor() as cursor:
        cursor.execute("UPDATE django_migrations SET app = 'elsewhere' WHERE app = 'sessions'")
    answer = client.get("/readyz")
    assert answer.status_code == 503
    assert b"The tables are not those of this version." in answer.content
    with connection.cursor() as cursor:
        cursor.execute("UPDATE django_migrations SET app = 'sessions' WHERE app = 'elsewhere'")
    assert client.get("/readyz").status_code == 200


@pytest.mark.usefixtures("db")
def test_readyz_says_when_the_broker_is_away_and_names_no_place(
    client: Client, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    (tmp_path / "broker").write_text("")
    monkeypatch.setitem(current_app.conf.broker_transport_options, "folder", str(tmp_path / "broker"))
    answer = client.get("/readyz")
    assert answer.status_code == 503
    assert b"The broker cannot be reached" in answer.content
    assert b"manage.py doctor" in answer.content
    assert str(tmp_path).encode() not in answer.content


@pytest.mark.parametrize("path", ["/livez", "/readyz"])
def test_they_can_only_be_read(client: Client, path: str) -> None:
    assert client.post(path).status_code == 405
