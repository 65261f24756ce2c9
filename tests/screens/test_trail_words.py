"""The trail reads as sentences: every verb that a room writes has one, and no code shows through."""

import re
from pathlib import Path

import pytest

from shop.core.models import TrailEntry
from shop.people.models import User
from shop.screens.trail_words import TRAIL_WORDS, trail_lines
from shop.units import queries
from shop.units.models import Unit
from tests.screens.browsing import Browser
from tests.screens.conftest import At, text_of

SHOP = Path(__file__).resolve().parent.parent.parent / "shop"
# A verb that a room writes to a unit's trail: named in the call, or handed to the step that calls.
_WRITTEN = re.compile(
    r'write\(\s*unit,\s*actor,\s*"(\w+)"|\bwhat="(\w+)"|\bwhat: str = "(\w+)"|what = "(\w+)" if .* else "(\w+)"'
)


def written_verbs() -> set[str]:
    sources = [file.read_text() for file in SHOP.rglob("*.py") if "screens" not in file.parts]
    return {verb for source in sources for found in _WRITTEN.findall(source) for verb in found if verb}


def test_it_words_every_verb_that_is_written() -> None:
    verbs = written_verbs()
    assert len(verbs) > 30
    assert verbs - set(TRAIL_WORDS) == set()


@pytest.fixture
def gone(unit_at: At) -> Unit:
    """A unit with the whole journey in its trail."""
    return unit_at("left")


def test_no_fact_is_missing_from_a_sentence_of_the_whole_journey(gone: Unit) -> None:
    entries = list(queries.history(gone))
    assert {entry.what for entry in entries} >= {"written_up", "held", "quote_sent", "payment_taken", "left"}
    assert [line.words for line in trail_lines(entries, {}) if "–" in line.words or "{" in line.words] == []


def test_it_says_who_by_name_and_what_in_the_words_of_the_step(gone: Unit, as_owner: Browser, jun: User) -> None:
    page = text_of(as_owner.see("unit", gone.number))
    assert f"<bdi>{jun.name}</bdi>" in page
    assert "Done: Remove the electrolytic capacitors" in page
    assert "From queue to bench" in page
    assert "the customer</bdi>" in page


def test_a_code_of_a_later_release_shows_as_it_is(gone: Unit) -> None:
    entry = TrailEntry(what="polished", facts="{}", happened_at=gone.created_at, actor_role="robot")
    [line] = trail_lines([entry], {})
    assert (line.words, line.who) == ("polished", "robot")
