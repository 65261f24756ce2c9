"""Typed text: trimmed, composed, limited, and without what nobody can see."""

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.core.reasons import Refused
from shop.core.text import choice, line, whole, words


@given(st.text(max_size=200))
def test_words_are_trimmed_composed_and_free_of_control_characters(text: str) -> None:
    kept = words(text, label="Note", required=False)
    assert kept == kept.strip()
    assert unicodedata.is_normalized("NFC", kept)
    assert not [c for c in kept if unicodedata.category(c) in ("Cc", "Cs") and c not in "\n\t"]


@pytest.mark.parametrize("hidden", ["a\nb", "a\x00b", "a\u2028b", "a\u202eb", "a\x1bb", "a\r\nBcc: b"])
def test_a_line_refuses_what_would_break_a_header_or_a_name(hidden: str) -> None:
    with pytest.raises(Refused) as refused:
        line(hidden, label="Name", field="name")
    assert (refused.value.code, refused.value.reasons[0].field) == ("hidden_character", "name")


@pytest.mark.parametrize("name", ["Trần Bảo", "محمد", "नीलम", "山田 太郎", "Zoë O’Neill", "می‌خواهم"])
def test_a_line_takes_names_of_any_script(name: str) -> None:
    assert line(f"  {name}\n", label="Name") == unicodedata.normalize("NFC", name)


def test_a_line_folds_blanks() -> None:
    assert line("Ada   Kowalczyk", label="Name") == "Ada Kowalczyk"


@pytest.mark.parametrize("check", [words, line])
def test_it_refuses_blank_and_too_long(check: "type[object]") -> None:
    for text, code in (("  ", "blank"), ("abcdef", "too_long")):
        with pytest.raises(Refused) as refused:
            check(text, label="Name", limit=5)  # type: ignore[call-arg]
        assert refused.value.code == code


def test_a_choice_is_one_of_the_choices() -> None:
    assert choice("shelf", ["shelf", "box"], label="Kind") == "shelf"
    with pytest.raises(Refused, match="not_a_choice"):
        choice("cloud", ["shelf", "box"], label="Kind")


@pytest.mark.parametrize("number", [0, 6])
def test_a_whole_number_keeps_within_its_limits(number: int) -> None:
    assert whole(5, low=1, high=5, label="Room") == 5
    with pytest.raises(Refused, match="out_of_range"):
        whole(number, low=1, high=5, label="Room")
