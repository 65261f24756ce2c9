"""What the tests of the core share."""

import sqlite3
from pathlib import Path

import pytest

from tests.core.running import OwnShop, copy_tables


@pytest.fixture(scope="session")
def made_tables(tmp_path_factory: pytest.TempPathFactory) -> OwnShop:
    """A shop whose tables are made once, to be copied."""
    shop = OwnShop(tmp_path_factory.mktemp("made"))
    shop.manage("migrate", "--noinput", "--verbosity", "0")
    with sqlite3.connect(shop.folder / "wickline.sqlite3") as file:
        file.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    file.close()
    return shop


@pytest.fixture
def own_shop(made_tables: OwnShop, tmp_path: Path) -> OwnShop:
    """A shop in a folder of its own, with empty tables, on the embedded broker."""
    copy_tables(made_tables, tmp_path)
    return OwnShop(tmp_path)
