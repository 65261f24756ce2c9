"""One process at a time."""

import os
from pathlib import Path

import pytest

from shop.core.onlyone import Taken, hold


def test_it_names_who_holds_the_lock(tmp_path: Path) -> None:
    with hold(tmp_path / "deep" / "lock"), pytest.raises(Taken) as taken:
        hold(tmp_path / "deep" / "lock")
    assert taken.value.holder == str(os.getpid())


def test_it_gives_the_lock_to_the_next_when_the_first_is_gone(tmp_path: Path) -> None:
    hold(tmp_path / "lock").close()
    hold(tmp_path / "lock").close()
    assert (tmp_path / "lock").read_text() == str(os.getpid())
