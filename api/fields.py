"""Fields and bases of the serializers: what is taken is read strictly, what is given is given whole."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from django.db.models import Model
from django.utils.translation import gettext_lazy as _
from rest_framework import serializers
from rest_framework.exceptions import ErrorDetail

from shop.core.money import LARGEST_MINOR

LARGEST_WHOLE = 2**31 - 1


class Taken(serializers.Serializer[Any]):
    """Base of what a request may say. A name that is not expected is refused, not dropped: it may be a misspelling."""

    def to_internal_value(self, data: Any) -> Any:
        """Return the checked values. Raises ValidationError."""
        if isinstance(data, Mapping) and (unknown := set(data) - set(self.fields)):
            said = ErrorDetail(
                str(_("This field is not known here. Leave it out or correct its name.")), "unknown_field"
            )
            raise serializers.ValidationError({str(name): [said] for name in sorted(map(str, unknown))})
        return super().to_internal_value(data)


class Given(serializers.Serializer[Any]):
    """Base of what an answer says: every field is always there."""

    def get_fields(self) -> dict[str, Any]:
        """Return the fields, all of them for reading only."""
        return _read_only(super().get_fields())


class GivenRow(serializers.ModelSerializer[Any]):
    """Base of what an answer says of a row: every field is always there."""

    def get_fields(self) -> dict[str, Any]:
        """Return the fields, all of them for reading only."""
        return _read_only(super().get_fields())


def _read_only(fields: dict[str, Any]) -> dict[str, Any]:
    for field in fields.values():
        field.read_only, field.required = True, False
    return fields


class Text(serializers.CharField):
    """Text; a number is not text."""

    def to_internal_value(self, data: Any) -> str:
        """Return the text, trimmed."""
        if not isinstance(data, str):
            self.fail("invalid")
        return super().to_internal_value(data)


class Whole(serializers.IntegerField):
    """A whole number; neither text nor yes or no is one."""

    def to_internal_value(self, data: Any) -> int:
        """Return the number."""
        if isinstance(data, bool) or not isinstance(data, int):
            self.fail("invalid")
        return super().to_internal_value(data)


class YesNo(serializers.BooleanField):
    """true or false and nothing that looks like it."""

    def to_internal_value(self, data: Any) -> bool:
        """Return the answer."""
        if not isinstance(data, bool):
            self.fail("invalid", input=data)
        return data


class IdOf(serializers.UUIDField):
    """The id of a row that must be there."""

    default_error_messages = {"missing": _("There is no {thing} with this id. Check it or look it up again.")}

    def __init__(self, model: type[Model], **kwargs: Any) -> None:
        self.model = model
        super().__init__(**kwargs)

    def to_internal_value(self, data: Any) -> UUID:
        """Return the id. One query."""
        if not isinstance(data, str):
            self.fail("invalid", value=data)
        pk = super().to_internal_value(data)
        if not self.model._default_manager.filter(pk=pk).exists():
            self.fail("missing", thing=self.model._meta.verbose_name)
        return pk


def text(limit: int, *, required: bool = False) -> Text:
    """Return a text field of at most limit characters; one that is not required is empty when it is left out."""
    return Text(max_length=limit) if required else Text(max_length=limit, required=False, allow_blank=True, default="")


def minor(**kwargs: Any) -> Whole:
    """Return a field for an amount in minor units."""
    return Whole(min_value=0, max_value=LARGEST_MINOR, **kwargs)


def whole(low: int, high: int = LARGEST_WHOLE, **kwargs: Any) -> Whole:
    """Return a field for a whole number from low to high."""
    return Whole(min_value=low, max_value=high, **kwargs)


MOST_MM = 1000
_LARGEST = 1e9


class Number(serializers.FloatField):
    """A number; neither text nor yes or no is one, nor what is too large to be told from the infinite."""

    def to_internal_value(self, data: Any) -> float:
        """Return the number."""
        if isinstance(data, bool) or not isinstance(data, int | float) or not -_LARGEST <= data <= _LARGEST:
            self.fail("invalid")
        return super().to_internal_value(data)


def millimetres(**kwargs: Any) -> Number:
    """Return a field for a place or a length in mm; unless kwargs say else it may be left out, or null: not known."""
    given: dict[str, Any] = {"allow_null": True, "required": False, "default": None} | kwargs
    return Number(min_value=-MOST_MM, max_value=MOST_MM, **given)


def measured() -> serializers.DecimalField:
    """Return a field for a measured value or a limit of one, with four decimals; it may be left out, or null."""
    return serializers.DecimalField(max_digits=12, decimal_places=4, allow_null=True, required=False, default=None)


def figures(count: int, limit: int = MOST_MM, **kwargs: Any) -> serializers.ListField:
    """Return a field for so many numbers from -limit to limit."""
    number = Number(min_value=-limit, max_value=limit)
    return serializers.ListField(child=number, min_length=count, max_length=count, **kwargs)
