"""The owner's wording of messages: listed, read, kept, gone back from, looked at, tried out."""

from django.conf import settings
from django.utils import translation
from rest_framework import serializers

from api.fields import Given, GivenRow, Taken, Text, text, whole
from api.operation import Call, Endpoint, operation
from api.resources.desk import EnvelopeOut
from shop.core.reasons import Missing, Reason
from shop.notices import actions, queries
from shop.notices.delivery import Message
from shop.notices.models import Envelope, Event, Template
from shop.notices.segments import measure


class WordingEditionOut(GivenRow):
    """One edition of the owner's wording; a standard one goes back to the words that came with the program."""

    class Meta:
        model = Template
        fields = ["edition", "standard", "subject", "paragraphs", "short", "by", "created_at"]


class WordingOut(Given):
    """The wording of an event in a language: in force, what may stand in it, and every edition, newest first."""

    event = serializers.CharField()
    language = serializers.CharField()
    edition = serializers.IntegerField()
    own = serializers.BooleanField()
    subject = serializers.CharField()
    paragraphs = serializers.CharField()
    short = serializers.CharField()
    placeholders = serializers.ListField(child=serializers.CharField())
    conditions = serializers.ListField(child=serializers.CharField())
    editions = WordingEditionOut(many=True)


class WordingListed(Given):
    """An event and the newest edition of its wording, 0 when there is none; own says that it is the owner's."""

    event = serializers.CharField()
    edition = serializers.IntegerField()
    own = serializers.BooleanField()


class InLanguage(Taken):
    """Which language."""

    language = serializers.ChoiceField(choices=[code for code, _name in settings.LANGUAGES], default="en")


class Wordings(Endpoint):
    """Every event's wording."""

    @operation("list_wordings", verb="notices.see", query=InLanguage, gives=WordingListed, many=True)
    def get(self, call: Call) -> object:
        """List the events and whether the owner words them."""
        return [
            {"event": event.value, "edition": row.edition if row else 0, "own": bool(row and not row.standard)}
            for event, row in queries.all_templates(call.query["language"])
        ]


class WordsIn(Taken):
    """A wording as the owner writes it, an empty line between two paragraphs."""

    subject = Text(max_length=150)
    paragraphs = Text(max_length=6000)
    short = text(600)


class WordingIn(WordsIn):
    """A wording to keep, and the edition that was seen, 0 for none."""

    edition = whole(0)


def _event(event: str, language: str) -> Event:
    if event not in Event.values or language not in dict(settings.LANGUAGES):
        raise Missing(Reason("missing", {"thing": "wording", "sought": f"{event[:40]} {language[:20]}"}))
    return Event(event)


def _wording(event: str, language: str) -> object:
    told = _event(event, language)
    with translation.override(language):
        return queries.template(told, language)


class OneWording(Endpoint):
    """One event's wording."""

    @operation("get_wording", verb="notices.see", gives=WordingOut)
    def get(self, call: Call, event: str, language: str) -> object:  # noqa: ARG002
        """Show the wording of an event in a language."""
        return _wording(event, language)

    @operation("keep_wording", verb="notices.change_templates", takes=WordingIn, gives=WordingOut)
    def post(self, call: Call, event: str, language: str) -> object:
        """Keep the owner's own wording of an event."""
        actions.keep_template(actor=call.actor, event=_event(event, language), language=language, **call.data)
        return _wording(event, language)


class EditionIn(Taken):
    """The edition that was seen."""

    edition = whole(0)


class ResetWording(Endpoint):
    """The way back."""

    @operation("reset_wording", verb="notices.change_templates", takes=EditionIn, gives=WordingOut)
    def post(self, call: Call, event: str, language: str) -> object:
        """Go back to the standard wording."""
        actions.back_to_standard(actor=call.actor, event=_event(event, language), language=language, **call.data)
        return _wording(event, language)


class LengthOut(Given):
    """How long a text message is: units of its encoding, parts, and units left in the last part."""

    encoding = serializers.CharField()
    units = serializers.IntegerField()
    parts = serializers.IntegerField()
    left = serializers.IntegerField()


class PreviewOut(Given):
    """How a message reads with invented facts, as e-mail and as text message."""

    subject = serializers.CharField()
    text = serializers.CharField()
    html = serializers.CharField()
    short = serializers.CharField()
    length = LengthOut()


class PreviewWording(Endpoint):
    """A look."""

    @operation("preview_wording", verb="notices.see", takes=WordsIn, gives=PreviewOut)
    def post(self, call: Call, event: str, language: str) -> object:
        """Show how a wording reads; nothing is kept."""
        told = _event(event, language)
        seen: Message = actions.preview(actor=call.actor, event=told, language=language, **call.data)
        return {name: getattr(seen, name) for name in ("subject", "text", "html", "short")} | {
            "length": measure(seen.short)
        }


class TryWording(Endpoint):
    """A message to the shop itself."""

    @operation("try_wording", verb="notices.change_templates", takes=WordsIn, gives=EnvelopeOut)
    def post(self, call: Call, event: str, language: str) -> Envelope:
        """Send a wording with invented facts to the shop's own address."""
        return actions.try_out(actor=call.actor, event=_event(event, language), language=language, **call.data)
