"""Commands on a machine where no shop was ever started."""

from pathlib import Path

import pytest

from tests.core.running import OwnShop


@pytest.mark.parametrize("words", [("verify",), ("second_step_off", "ottilie")])
def test_without_tables_a_command_says_what_to_do(tmp_path: Path, words: tuple[str, ...]) -> None:
    ended = OwnShop(tmp_path).manage(*words, check=False)
    assert ended.returncode == 1
    assert "is not prepared" in ended.stderr
    assert "manage.py doctor" in ended.stderr
    assert "Traceback" not in ended.stderr


def test_the_reckoner_needs_no_shop(tmp_path: Path) -> None:
    ended = OwnShop(tmp_path).manage("reckon", "esr", "tan_delta=0.25", "capacitance_uf=10")
    assert "33.16 Ω" in ended.stdout
