"""The reckoner over the API: one address a calculation, and a result kept with a unit."""

import pytest

from shop.core.models import TrailEntry
from shop.reckoner.contents import RECKONINGS
from shop.units.models import Unit
from tests.api.conftest import Device


def test_it_lists_what_each_calculation_asks(tablet: Device) -> None:
    listed = tablet.get("reckoner").json()["items"]
    assert {each["name"] for each in listed} == set(RECKONINGS)
    esr = next(each for each in listed if each["name"] == "esr")
    assert [asked["unit"] for asked in esr["asks"]] == ["", "µF", "Hz"]


def test_every_calculation_has_an_address(tablet: Device) -> None:
    for name in RECKONINGS:
        answer = tablet.post(f"reckoner/{name}", {})
        assert answer.status_code == 200, (name, answer.content)
        assert answer.json()["sentence"]


def test_figures_are_numbers_or_text(tablet: Device) -> None:
    for tan_delta in (0.25, "0.25", "0,25"):
        answer = tablet.post("reckoner/esr", {"tan_delta": tan_delta, "capacitance_uf": 10}).json()
        assert float(answer["figures"][0]["value"]) == pytest.approx(33.157, abs=1e-3)


def test_a_wrong_figure_is_a_problem_that_names_it(tablet: Device) -> None:
    answer = tablet.post("reckoner/esr", {"tan_delta": -1})
    assert (answer.status_code, answer.json()["reasons"][0]["field"]) == (422, "tan_delta")
    assert tablet.post("reckoner/esr", {"volts": 1}).status_code == 422


def test_a_result_is_kept_with_a_unit(tablet: Device, queued: Unit) -> None:
    body = {"name": "esr", "given": {"tan_delta": "0.25", "capacitance_uf": 10}}
    assert tablet.post(f"units/{queued.id}/reckonings", body).status_code == 201
    assert TrailEntry.objects.filter(subject_id=queued.id, what="reckoned").count() == 1
    wrong = tablet.post(f"units/{queued.id}/reckonings", {"name": "esr", "given": {"tan_delta": "x"}})
    assert wrong.status_code == 422
