"""Bring shop/locale up to date with the sentences that customers can read, and compile it.

    python docs/translations.py          extract, merge into each language, compile, say what is not translated yet
    python docs/translations.py --look   say it and write nothing

Babel and Django's own reading of templates do all of it, so that no gettext program is needed. Staff read English: what
they alone see is left out, and a new sentence of theirs asks for no translation.
"""

import ast
import io
import os
import sys
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import django
from babel.messages.catalog import Catalog, Message
from babel.messages.extract import DEFAULT_KEYWORDS, extract_python
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po, write_po

ROOT = Path(__file__).resolve().parents[1]
LOCALE = ROOT / "shop" / "locale"
LANGUAGES = ("de", "fr")
_WIDTH = 110

# All of these is for customers: their pages, messages and papers.
FOR_CUSTOMERS = (
    "customer_portal/**/*.py", "customer_portal/templates/**/*.html",
    "shop/floor/customer_*.py", "shop/floor/templates/**/*.html",
    "shop/notices/*wording.py", "shop/notices/templates/**/*",
    "shop/quotes/terms.py", "shop/quotes/shown.py", "shop/quotes/content.py", "shop/quotes/drafting.py",
    "shop/quotes/questions.py", "shop/quotes/steps.py", "shop/quotes/paper_*.py",
    "shop/books/receipts.py", "shop/books/paper.py", "shop/core/middleware.py", "shop/people/contact.py",
)  # fmt: skip
# Of these, what stands in the classes and functions named: above all the labels that a customer reads.
PARTS = {
    "shop/units/models/unit.py": ("Stage", "Outcome", "Visit", "Hold.Kind"),
    "shop/units/models/belongings.py": ("Finding.Kind", "UnitPhoto.Purpose"),
    "shop/quotes/models/edition.py": ("QuoteVersion.State", "QuoteVersion.Meta"),
    "shop/quotes/models/line_fields.py": ("LineFields.TaxClass",),
    "shop/quotes/models/answer.py": ("Decision.Kind",),
    "shop/books/models.py": ("Payment.Method",),
    "shop/notices/models.py": ("Group",),
    "shop/work/step_words.py": ("names",),
    "shop/planning/promise_moves.py": ("_cause_words",),
    "shop/work/repairs.py": ("offer_words",),
    "shop/floor/story.py": ("_Journey", "_pad", "spoken", "_spoken"),
    "shop/floor/flows/intake.py": ("announce",),
    "shop/floor/templatetags/wick.py": ("when",),
}
# Of these, the refusals that a customer can meet. tests/core/test_translations.py follows the code from the customer's
# faces and says which are wanting.
REFUSALS = {
    "shop/core/sentences.py": (
        "blank", "hidden_character", "missing", "not_a_choice", "not_a_time_zone", "not_permitted", "out_of_range",
        "stale", "too_long",
    ),
    "shop/people/sentences.py": (
        "email_malformed", "phone_extension", "phone_impossible", "phone_unreadable", "unreachable",
    ),
    "shop/units/sentences.py": ("unit_left",),
    "shop/notices/sentences.py": ("unsubscribe_unknown",),
    "shop/quotes/sentences.py": (
        "discount_too_large", "option_at_most_one", "option_incomplete", "option_one_of", "option_requires",
        "option_unknown", "paper_missing", "questions_many", "quote_already_decided", "quote_expired",
        "quote_not_sent", "quote_replaced", "quote_too_large", "quote_withdrawn", "terms_not_agreed",
    ),
    "shop/books/sentences.py": ("nothing_to_print",),
    "shop/floor/sentences.py": ("quote_not_of_unit", "ready_already"),
}  # fmt: skip
# Where in a call the message, the plural and the context stand.
_CALLS: dict[str, dict[str, int]] = {
    "_": {"one": 0}, "gettext": {"one": 0}, "gettext_lazy": {"one": 0},
    "ngettext": {"one": 0, "many": 1}, "ngettext_lazy": {"one": 0, "many": 1},
    "pgettext": {"context": 0, "one": 1}, "pgettext_lazy": {"context": 0, "one": 1},
    "npgettext": {"context": 0, "one": 1, "many": 2}, "npgettext_lazy": {"context": 0, "one": 1, "many": 2},
}  # fmt: skip


def extracted() -> Catalog:
    """Return every message that customers can read, with the files that it comes from, without translations."""
    found = Catalog()
    for file in sorted({file for pattern in FOR_CUSTOMERS for file in ROOT.glob(pattern) if file.is_file()}):
        told = file.read_text()
        messages = _in_python(ast.parse(told)) if file.suffix == ".py" else _in_template(told)
        _add(found, file.relative_to(ROOT), messages)
    for name, parts in PARTS.items():
        tree = ast.parse((ROOT / name).read_text())
        _add(found, Path(name), (each for path in parts for each in _in_python(_part(tree, path))))
    for name, codes in REFUSALS.items():
        tree = ast.parse((ROOT / name).read_text())
        _add(found, Path(name), (each for code in codes for each in _in_python(_worded(tree, code))))
    return found


def _add(found: Catalog, file: Path, messages: Iterator[dict[str, str]]) -> None:
    for each in messages:
        named = (each["one"], each["many"]) if "many" in each else each["one"]
        message = found.add(named, locations=[(str(file), 0)], context=each.get("context"))
        # Babel's own guess takes "8 % since" for a placeholder.
        message.flags -= {"python-format", "python-brace-format"}
        if "%(" in each["one"]:
            message.flags.add("python-format")


def _in_python(node: ast.AST) -> Iterator[dict[str, str]]:
    """Yield the messages of the calls inside a node, in order; a message that is not written out is a mistake."""
    for call in ast.walk(node):
        if isinstance(call, ast.Call) and isinstance(call.func, ast.Name) and call.func.id in _CALLS:
            places = _CALLS[call.func.id].items()
            yield {name: str(ast.literal_eval(call.args[at])) for name, at in places}


def _in_template(told: str) -> Iterator[dict[str, str]]:
    """Yield the messages of a template, which Django turns into calls for this purpose."""
    from django.utils.translation.template import templatize

    lines = "\n".join(line.lstrip() for line in templatize(told).splitlines())
    for _line, name, given, _comments in extract_python(io.BytesIO(lines.encode()), DEFAULT_KEYWORDS, [], {}):
        said = given if isinstance(given, tuple) else (given,)
        yield {part: str(said[at]) for part, at in _CALLS[str(name)].items()}


def _part(tree: ast.AST, path: str) -> ast.AST:
    """Return a class or function by its name, or by that of the class around it and its own: "Hold.Kind"."""
    node = tree
    for name in path.split("."):
        parts = (each for each in ast.walk(node) if isinstance(each, ast.ClassDef | ast.FunctionDef))
        node = next(each for each in parts if each.name == name)
    return node


def _worded(tree: ast.AST, code: str) -> ast.expr:
    """Return what a table of sentences has for a code."""
    tables = (node for node in ast.walk(tree) if isinstance(node, ast.Dict))
    rows = (row for table in tables for row in zip(table.keys, table.values, strict=True))
    return next(value for key, value in rows if isinstance(key, ast.Constant) and key.value == code)


def kept(language: str) -> Catalog:
    """Return what stands in a language's file, or an empty catalogue for a language that has none yet."""
    path = LOCALE / language / "LC_MESSAGES" / "django.po"
    if path.exists():
        with path.open("rb") as file:
            return read_po(file, locale=language, domain="django", abort_invalid=True)
    now = datetime.now(UTC).replace(second=0, microsecond=0)
    return Catalog(
        locale=language, domain="django", project="Wickline", version="1", copyright_holder="the Wickline developers",
        msgid_bugs_address="nobody@example.org", last_translator="the Wickline developers", language_team=language,
        creation_date=now, revision_date=now, charset="utf-8", fuzzy=False,
        header_comment="# What Wickline says to customers. Brought up to date by docs/translations.py.",
    )  # fmt: skip


def merged(language: str, template: Catalog) -> Catalog:
    """Return a language's catalogue with the messages of the template alone; nothing is guessed from similar ones."""
    catalog = kept(language)
    template.creation_date = catalog.creation_date
    catalog.update(template, no_fuzzy_matching=True, update_creation_date=False)
    catalog.obsolete.clear()
    return catalog


def as_text(catalog: Catalog) -> bytes:
    """Return the text of a .po file, in the order of the messages, without the lines they stand on."""
    out = io.BytesIO()
    write_po(out, catalog, width=_WIDTH, sort_output=True, include_lineno=False)
    return out.getvalue()


def compiled(catalog: Catalog) -> bytes:
    """Return the .mo file of a catalogue."""
    out = io.BytesIO()
    write_mo(out, catalog)
    return out.getvalue()


def untranslated(catalog: Catalog) -> list[Message]:
    """Return the messages that have no translation, or only some of its plural forms, and those that are a guess."""
    return [message for message in catalog if message.id and (message.fuzzy or not _whole(message.string))]


def _whole(string: str | list[str] | tuple[str, ...] | None) -> bool:
    return all([string] if isinstance(string, str) else string or [""])


def main(arguments: list[str]) -> int:
    """Do what the command line asks; return 1 when something is not translated yet."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")
    sys.path.insert(0, str(ROOT))
    django.setup()
    template, wanting = extracted(), 0
    for language in LANGUAGES:
        catalog = merged(language, template)
        if "--look" not in arguments:
            folder = LOCALE / language / "LC_MESSAGES"
            folder.mkdir(parents=True, exist_ok=True)
            (folder / "django.po").write_bytes(as_text(catalog))
            (folder / "django.mo").write_bytes(compiled(catalog))
        missing = untranslated(catalog)
        wanting += len(missing)
        print(f"{language}: {len(catalog)} messages, {len(missing)} not translated")
        for message in missing:
            print(f"  {message.id!r}")
    return 1 if wanting else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
