"""The customer's languages: everything that a customer can read is in them, whole, and in the files that are used."""

import re
from importlib import import_module
from pathlib import Path

import pytest
from babel.messages.catalog import Catalog
from babel.messages.mofile import read_mo
from django.conf import settings
from django.utils import translation
from django.utils.translation import ngettext

from docs import translations
from shop.core.reasons import known_codes
from shop.notices import short_wording, wording
from shop.notices.segments import measure, plain
from tests.core.reach import reached
from tests.core.source import strings, trees

NARROW = "\u202f"
_NAMED = re.compile(r"%\((\w+)\)s|\{(\w+)\}")
# Reasons that the customer's faces come across but never say: why the plan leaves a unit out and what the shelf lacks
# is for staff, a label is printed in the shop, "held" and "question_answered" are also names of events.
FOR_STAFF = {
    "held", "question_answered", "label_address_not_ascii", "label_address_too_long", "part_short",
    "plan_nothing_to_do", "plan_waits_approval", "plan_waits_customer", "plan_waits_deposit", "plan_waits_intake",
    "plan_waits_other", "plan_waits_parts", "plan_waits_quote", "promise_beyond_horizon",
}  # fmt: skip

Told = tuple[str, ...]


@pytest.fixture(scope="module", params=translations.LANGUAGES)
def kept(request: pytest.FixtureRequest) -> Catalog:
    return translations.kept(request.param)


def forms(given: object) -> Told:
    return (given,) if isinstance(given, str) else tuple(given)  # type: ignore[arg-type]


def said(catalog: Catalog) -> list[tuple[Told, Told]]:
    return [(forms(message.id), forms(message.string)) for message in catalog if message.id]


def names(text: str) -> list[str]:
    return sorted(found[0] or found[1] for found in _NAMED.findall(text))


def test_the_files_hold_what_customers_can_read_and_nothing_else(kept: Catalog) -> None:
    """Where this fails: run python docs/translations.py, and translate what it names."""
    wanted = {(message.id, message.context) for message in translations.extracted()}
    there = {(message.id, message.context) for message in kept if message.id}
    assert (wanted - {("", None)}, set(kept.obsolete)) == (there, set())


def test_it_finds_messages_of_every_kind() -> None:
    ids = {message.id for message in translations.extracted()}
    assert ("%(at)s, %(n)s day ago", "%(at)s, %(n)s days ago") in ids  # a plural in Python
    assert {"Our quote", "%(which)s: stopped", "pickup", "Done.", "Open its page"} <= ids
    assert "The quote was sent and waits for the customer's answer." not in ids  # for staff


def test_nothing_is_left_untranslated_or_guessed(kept: Catalog) -> None:
    assert [message.id for message in translations.untranslated(kept)] == []


def test_it_says_what_is_untranslated() -> None:
    catalog = Catalog(locale="de")
    catalog.add("whole", "ganz")
    catalog.add(("day", "days"), ("Tag", ""))
    catalog.add("guessed", "geraten", flags=["fuzzy"])
    catalog.add("nothing")
    assert [message.id for message in translations.untranslated(catalog)] == [("day", "days"), "guessed", "nothing"]


def test_the_compiled_file_is_that_of_the_text(kept: Catalog) -> None:
    path = Path(translations.LOCALE, str(kept.locale), "LC_MESSAGES", "django.mo")
    with path.open("rb") as file:
        compiled = read_mo(file)
    assert sorted(said(compiled)) == sorted(said(kept))
    assert compiled.plural_forms == kept.plural_forms


def test_every_placeholder_is_in_every_form(kept: Catalog) -> None:
    """Each form holds the names of the message, as often, and can be filled in."""
    wanting = [
        (original, text)
        for originals, texts in said(kept)
        for original, text in zip(originals[-1:] * len(texts), texts, strict=True)
        if names(original) != names(text)
    ]
    assert wanting == []
    for originals, texts in said(kept):
        for text in texts:
            if "%(" in originals[0]:
                assert "%(" not in text % {name: "1" for name in names(text)}
            assert re.sub(_NAMED, "", text).count("{") == 0


def test_it_has_as_many_forms_as_the_language(kept: Catalog) -> None:
    assert {len(texts) for originals, texts in said(kept) if len(originals) > 1} == {kept.num_plurals} == {2}


@pytest.mark.parametrize(("language", "of_nothing"), [("en", "plural"), ("de", "plural"), ("fr", "singular")])
def test_it_chooses_the_plural_by_the_languages_rule(language: str, of_nothing: str) -> None:
    """CLDR's plural rules: one is 1 in English and German, 0 and 1 in French."""
    with translation.override(language):
        told = [ngettext("%(at)s, %(n)s day ago", "%(at)s, %(n)s days ago", n) for n in (0, 1, 2, 3, 11)]
    singular, plural = told[1], told[2]
    assert singular != plural
    assert told == [{"plural": plural, "singular": singular}[of_nothing], singular, plural, plural, plural]


def test_sentences_end_as_they_do_in_english(kept: Catalog) -> None:
    """A sentence that was cut off, or a question that lost its mark, would read as a mistake."""
    ends = {".": ".", "?": "?", ":": ":", ",": ","}
    sentences = [pair for pair in said(kept) if len(pair[0][0].split()) > 2 and pair[0][0][-1] in ends]
    assert len(sentences) > 150
    assert [texts for originals, texts in sentences if any(text[-1] != originals[0][-1] for text in texts)] == []


def test_french_has_narrow_blanks_before_its_marks_and_inside_its_quotes() -> None:
    for _originals, texts in said(translations.kept("fr")):
        for text in texts:
            bare = re.sub(_NAMED, "x", text)
            assert re.findall(rf"[^{NARROW}][;:!?»]|«[^{NARROW}]", bare) == [], text
            assert not set(bare) & set("'\"“”"), text


def test_german_has_its_own_quotes() -> None:
    for _originals, texts in said(translations.kept("de")):
        for text in texts:
            assert text.count("„") == text.count("“"), text
            assert not set(text) & set("'\"”«»"), text


def test_every_refusal_that_a_customer_can_meet_is_translated() -> None:
    """Walks the code from the customer's faces. A new one is named in REFUSALS of docs/translations.py."""
    faces = [path for path in trees() if path.parts[0] == "customer_portal" and path.name != "sentences.py"]
    nodes = reached(faces)
    met = {text for node in nodes for text in strings(node)} & known_codes()
    assert {"quote_expired", "email_malformed", "stale", "questions_many", "asked_too_often"} <= met
    there = {message.id for message in translations.extracted()}
    tables = [".".join(path.with_suffix("").parts) for path in trees() if path.name == "sentences.py"]
    with translation.override("en"):
        english = {code: str(text) for table in tables for code, text in import_module(table).SENTENCES.items()}
    assert {code for code in met if english[code] not in there} == FOR_STAFF & met


def test_a_text_message_stays_in_the_cheap_alphabet(kept: Catalog) -> None:
    """A sign outside GSM 7-bit makes every part of a message less than half as long."""
    with translation.override(str(kept.locale)):
        lines = [str(line.text) for each in short_wording.SHORT.values() for line in each]
        dear = [text for text in (*lines, str(wording.STOP_SHORT)) if measure(plain(text)).encoding != "GSM 7-bit"]
    assert dear == []


def test_the_languages_on_offer_are_those_of_the_files_and_read_from_left_to_right() -> None:
    offered = [code for code, _name in settings.LANGUAGES]
    assert offered == [settings.LANGUAGE_CODE, *translations.LANGUAGES]
    assert not set(offered) & set(settings.LANGUAGES_BIDI)
    assert sorted(path.name for path in translations.LOCALE.iterdir()) == sorted(translations.LANGUAGES)
