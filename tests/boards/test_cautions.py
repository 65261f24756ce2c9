"""Cautions stand where work can hurt, and defer to training and local rules."""

import itertools

import pytest

from shop.boards.cautions import cautions_for
from shop.boards.models import DeviceModel

MAINS = ("mains voltage", "never work on it live when alone", "isolating transformer", "electrical safety test")
TUBE = ("deadly charge", "discharge it again", "burst inwards")
BATTERY = ("Never solder to a cell", "never post a swollen one")
ALWAYS = ("Capacitors stay charged", "350 °C", "fume", "lead", "Static", "sharp", "do not replace training")


def _said(**inside: bool) -> str:
    return " ".join(cautions_for(DeviceModel(maker="Quillon", name="Lantern", **inside))).replace("\n", " ")


@pytest.mark.parametrize("flags", list(itertools.product([False, True], repeat=3)))
def test_it_says_what_is_inside_and_what_always_applies(flags: tuple[bool, bool, bool]) -> None:
    mains, tube, battery = flags
    said = _said(mains_inside=mains, tube_inside=tube, battery_inside=battery).lower()
    for present, words in ((mains, MAINS), (tube, TUBE), (battery, BATTERY), (True, ALWAYS)):
        assert [word for word in words if (word.lower() in said) is not present] == []


def test_it_ends_by_deferring_to_local_rules_and_licensed_practice() -> None:
    last = cautions_for(DeviceModel(maker="Quillon", name="Lantern", mains_inside=True))[-1]
    assert "Local electrical codes and licensed practice come first" in last


def test_the_deadliest_comes_first() -> None:
    first = cautions_for(DeviceModel(maker="Tessaro", name="Vesper 2", tube_inside=True, mains_inside=True))[0]
    assert first.startswith("A picture tube holds a deadly charge")


def test_it_says_each_thing_once() -> None:
    said = cautions_for(DeviceModel(mains_inside=True, tube_inside=True, battery_inside=True))
    assert len(said) == len(set(said))


def test_it_advises_no_wrist_strap_for_live_work() -> None:
    assert "Take the wrist strap off for live work" in _said(mains_inside=True)
    assert "On a board without power, wear the wrist strap" in _said()
