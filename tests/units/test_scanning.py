"""Everything that a scanner, a camera or a person may hand over."""

from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pytest_django import DjangoAssertNumQueries

from shop.boards.models import DeviceModel
from shop.core.reasons import Missing, Refused, known_codes
from shop.core.sentences import SENTENCES
from shop.core.tagcode import ALPHABET, check_symbol, printed
from shop.people.models import Customer, Place, User
from shop.units.label_sentences import LABEL_SENTENCES
from shop.units.models import Bag, Unit
from shop.units.scan_queries import resolve
from shop.units.scanning import Kind, Scan, read_scan

CODES = st.text(ALPHABET, min_size=7, max_size=7)
US = "`1234567890-=qwertyuiop[]asdfghjkl;'zxcvbnm,./" + '~!@#$%^&*()_+QWERTYUIOP{}ASDFGHJKL:"ZXCVBNM<>?'
# What the same keys give elsewhere, key by key: DIN 2137 (German), SIS 66 22 41 (Swedish), AZERTY (French).
GERMAN = "^1234567890ß´qwertzuiopü+asdfghjklöäyxcvbnm,.-" + '°!"§$%&/()=?`QWERTZUIOPÜ*ASDFGHJKLÖÄYXCVBNM;:_'
SWEDISH = "§1234567890+´qwertyuiopå¨asdfghjklöäzxcvbnm,.-" + '½!"#¤%&/()=?`QWERTYUIOPÅ^ASDFGHJKLÖÄZXCVBNM;:_'
FRENCH = "²&é\"'(-è_çà)=azertyuiop^$qsdfghjklmùwxcvbn,;:!" + "~1234567890°+AZERTYUIOP¨£QSDFGHJKLM%WXCVBN?./§"


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("http://shop.test/t/K7Q2M9F", Kind.BAG),
        ("https://elsewhere.example:8443/wick/t/K7Q2M9F", Kind.BAG),
        ("http://192.0.2.10:8000/p/K7Q2M9F", Kind.PLACE),
        ("http://[2001:db8::7]/b/K7Q2M9F", Kind.BADGE),
        ("HTTP://SHOP.TEST/T/K7Q2M9F", Kind.BAG),
        ("shop.test/t/k7q-2m9f", Kind.BAG),
        ("/t/K7Q2M9F/", Kind.BAG),
        ("http://shop.test/t/K7Q2M9F?from=phone#top", Kind.BAG),
        ("http://shop.test/t/K7Q2M9F%7E", Kind.BAG),
        ("]Q1http://shop.test/t/K7Q2M9F\r\n", Kind.BAG),
        ("  http://shop.test/t/K7Q2M9F\t", Kind.BAG),
        ("K7Q-2M9F~", Kind.CODE),
        ("k7q2m9f~", Kind.CODE),
        ("K7Q 2M9F~\n", Kind.CODE),
    ],
)
def test_it_reads_an_address_of_any_host_and_a_code_as_typed(text: str, kind: Kind) -> None:
    assert read_scan(text) == Scan(kind, "K7Q2M9F")


@pytest.mark.parametrize(("text", "number"), [("#0042", "42"), ("42", "42"), ("0042", "42"), ("# 1042", "1042")])
def test_it_reads_a_units_number(text: str, number: str) -> None:
    assert read_scan(text) == Scan(Kind.NUMBER, number)


def test_seven_digits_are_a_code_and_no_number() -> None:
    with pytest.raises(Refused, match="code_without_check"):
        read_scan("1234567")
    assert read_scan("1234567", by_machine=True) == Scan(Kind.CODE, "1234567")


def test_a_code_without_its_check_symbol_is_taken_from_machines_only() -> None:
    assert read_scan("K7Q-2M9F", by_machine=True) == Scan(Kind.CODE, "K7Q2M9F")
    with pytest.raises(Refused, match="code_without_check"):
        read_scan("K7Q-2M9F")


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("", "scan_empty"),
        (" \r\n", "scan_empty"),
        ("K7Q-2M9FA", "code_check_wrong"),
        ("http://shop.test/t/K7Q2M9FA", "code_check_wrong"),
        ("http://shop.test/t/hello", "code_malformed"),
        ("https://example.com/", "scan_not_ours"),
        ("http://shop.test/x/K7Q2M9F", "scan_not_ours"),
        ("http://shop.test/t/", "scan_not_ours"),
        ("http", "scan_not_ours"),
        ("WIFI:S:net;T:WPA;P:secret;;", "code_malformed"),
        ("4006381333931", "code_malformed"),
        ("javascript:alert(1)", "code_malformed"),
        ("x" * 100_000, "code_malformed"),
        ("/" * 100_000, "scan_not_ours"),
    ],
)
def test_it_says_what_is_wrong_with_anything_else(text: str, code: str) -> None:
    with pytest.raises(Refused) as caught:
        read_scan(text)
    assert caught.value.code == code
    worded = {**SENTENCES, **LABEL_SENTENCES}[code]
    assert len(str(worded).format_map(dict(caught.value.reasons[0].facts))) < 250


@given(st.text(max_size=60))
def test_it_answers_any_text_with_a_scan_or_a_refusal(text: str) -> None:
    try:
        answer = read_scan(text).code
    except Refused as refusal:
        answer = refusal.code
    assert answer in {**SENTENCES, **LABEL_SENTENCES} or set(answer) <= set(ALPHABET)


@given(
    CODES, st.sampled_from([GERMAN, SWEDISH, FRENCH]), st.sampled_from(["http://shop-1.test", "https://10.0.0.7:80"])
)
def test_it_undoes_what_a_foreign_keyboard_makes_of_an_address(code: str, layout: str, host: str) -> None:
    """A scanner set to US keys types an address into a computer set to another layout."""
    typed = f"{host}/t/{code}".translate(str.maketrans(US, layout))
    scan = read_scan(typed)
    assert scan.kind is Kind.BAG
    assert code in scan.codes
    assert len(scan.codes) <= (2 if set(code) & {"Y", "Z"} else 1)


@given(CODES)
def test_it_keeps_y_and_z_of_an_address_that_is_whole(code: str) -> None:
    assert read_scan(f"http://shop.test/t/{code}") == Scan(Kind.BAG, code)


@pytest.fixture
def bag(ada: Customer, lantern: DeviceModel, shelf: Place) -> Bag:
    unit = Unit.objects.create(number=42, customer=ada, model=lantern, place=shelf)
    return Bag.objects.create(unit=unit, kind="unit", code="K7Q2M9F")


def test_a_label_finds_its_bag_with_one_query(bag: Bag, django_assert_num_queries: DjangoAssertNumQueries) -> None:
    with django_assert_num_queries(1):
        found = resolve(read_scan("http://old-address.test/t/K7Q2M9F"))
        assert isinstance(found, Bag)
        assert found == bag
        assert (str(found.unit.model), str(found.unit.customer), str(found.unit.place)) == (
            "Quillon Lantern",
            "Ada Kowalczyk",
            "Shelf A",
        )


def test_a_number_finds_the_units_own_tag(bag: Bag, django_assert_num_queries: DjangoAssertNumQueries) -> None:
    Bag.objects.create(unit=bag.unit, kind="fasteners")
    with django_assert_num_queries(1):
        assert resolve(read_scan("#0042")) == bag


def test_a_typed_code_finds_a_bag_a_place_or_a_person(
    bag: Bag, bench_one: Place, jun: User, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    for thing, code, queries in ((bag, bag.code, 1), (bench_one, bench_one.code, 2), (jun, jun.badge_code, 3)):
        with django_assert_num_queries(queries):
            assert resolve(read_scan(printed(code))) == thing


def test_places_and_badges_are_found_under_their_own_letters(bench_one: Place, jun: User) -> None:
    assert resolve(Scan(Kind.PLACE, bench_one.code)) == bench_one
    assert resolve(Scan(Kind.BADGE, jun.badge_code)) == jun
    with pytest.raises(Missing, match="tag_unknown"):
        resolve(Scan(Kind.BADGE, bench_one.code))


@pytest.mark.parametrize("scan", [Scan(kind, "ZZZZZZZ") for kind in (Kind.BAG, Kind.PLACE, Kind.BADGE, Kind.CODE)])
def test_an_unknown_tag_is_said_to_be_unknown(scan: Scan, bag: Bag) -> None:
    with pytest.raises(Missing, match="tag_unknown") as caught:
        resolve(scan)
    assert caught.value.reasons[0].facts["code"] == "ZZZ-ZZZZ" + check_symbol("ZZZZZZZ")


@pytest.mark.parametrize("number", ["99", "999999999"])
def test_an_unknown_number_is_said_to_be_unknown(number: str, bag: Bag) -> None:
    with pytest.raises(Missing, match="missing"):
        resolve(Scan(Kind.NUMBER, number))


def test_a_bag_of_a_unit_that_left_is_still_found(bag: Bag) -> None:
    Unit.objects.update(stage="pickup", outcome="collected", left_at=datetime(2026, 3, 1, tzinfo=UTC))
    found = resolve(Scan(Kind.BAG, "K7Q2M9F"))
    assert isinstance(found, Bag)
    assert found.unit.outcome == "collected"


def test_a_place_or_badge_out_of_use_is_named(bench_one: Place, jun: User) -> None:
    gone = datetime(2026, 3, 1, tzinfo=UTC)
    Place.objects.update(retired_at=gone)
    User.objects.update(retired_at=gone)
    with pytest.raises(Missing, match="place_retired"):
        resolve(Scan(Kind.PLACE, bench_one.code))
    with pytest.raises(Missing, match="badge_retired"):
        resolve(Scan(Kind.BADGE, jun.badge_code))


def test_of_two_readings_the_one_that_exists_is_taken(bag: Bag) -> None:
    Bag.objects.filter(pk=bag.pk).update(code="Y000000")
    swapped = read_scan("httpÖ--shop.test-t-Z000000")
    assert resolve(swapped) == bag
    Bag.objects.create(unit=bag.unit, kind="removed", code="Z000000")
    with pytest.raises(Refused, match="tag_two_readings"):
        resolve(swapped)


def test_every_refusal_of_labels_and_scans_is_worded() -> None:
    """place_retired is worded by the room for the moves of units as well."""
    assert "place_retired" in known_codes()
    assert all(str(words)[-1] in ".”" for words in LABEL_SENTENCES.values())
