"""The reckoner's pages: answers, refusals that keep what was typed, and a result kept with a unit."""

import json

from shop.core.models import TrailEntry
from shop.reckoner.contents import RECKONINGS
from tests.screens.browsing import Browser, said
from tests.screens.conftest import At


def test_the_contents_lead_to_every_calculation(as_technician: Browser) -> None:
    contents = as_technician.see("reckoner").content.decode()
    for name in RECKONINGS:
        assert f"/reckoner/{name}" in contents
        shown = as_technician.see("reckoning", name)
        assert shown.status_code == 200, name
        assert 'class="answer"' in shown.content.decode()


def test_a_page_answers_the_figures_in_its_address(as_technician: Browser) -> None:
    shown = as_technician.see("reckoning", "esr", tan_delta="0.25", capacitance_uf="10").content.decode()
    assert "33.16 Ω" in shown
    assert "<polyline" in as_technician.see("reckoning", "capacitor-life").content.decode()


def test_a_refusal_keeps_what_was_typed_and_marks_the_figure(as_technician: Browser) -> None:
    shown = as_technician.see("reckoning", "esr", tan_delta="-3", capacitance_uf="10")
    assert shown.status_code == 422
    assert "tan δ must be at least 0" in said(shown)
    assert 'value="-3"' in shown.content.decode()
    assert 'aria-invalid="true"' in shown.content.decode()


def test_an_unticked_box_is_no(as_technician: Browser) -> None:
    half = as_technician.see("reckoning", "reservoir-ripple", load_ma="500", capacitance_uf="4700", mains_hz="60")
    full = as_technician.see("reckoning", "reservoir-ripple", full_wave="yes", load_ma="500")
    assert "1.77 V" in half.content.decode()
    assert "887 mV" in full.content.decode()


def test_a_result_is_kept_with_a_unit_and_shows_in_its_trail(as_technician: Browser, unit_at: At) -> None:
    unit = unit_at("diagnosis")
    kept = as_technician.send("reckoning-keep", "esr", unit=str(unit.number), tan_delta="0.25", capacitance_uf="10")
    assert kept.url == f"/units/{unit.number}#trail"
    row = TrailEntry.objects.get(subject_id=unit.pk, what="reckoned")
    facts = json.loads(row.facts)
    assert facts["given"] == {"tan_delta": "0.25", "capacitance_uf": "10", "frequency_hz": "120"}
    assert round(facts["figures"]["esr_ohm"], 3) == 33.157
    assert "Reckoned: ESR from the loss tangent" in as_technician.see("unit", unit.number).content.decode()


def test_it_keeps_nothing_with_no_unit_or_a_wrong_figure(as_technician: Browser, unit_at: At) -> None:
    unit = unit_at("diagnosis")
    assert as_technician.send("reckoning-keep", "esr", unit="9999").status_code == 422
    assert as_technician.send("reckoning-keep", "esr", unit=str(unit.number), tan_delta="-1").status_code == 422
    assert as_technician.see("reckoning", "no-such").status_code == 404
    assert not TrailEntry.objects.filter(what="reckoned").exists()
