"""Who works here, who comes here, and where things lie."""

from typing import Any

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from shop.core import clock
from shop.core.models import Row, Versioned
from shop.core.tagcode import new_code
from shop.people.search import FoldedField


class UserManager(BaseUserManager["User"]):
    """Makes staff accounts; the only writer is `people.actions`."""

    def create_user(self, username: str, password: str, **fields: Any) -> "User":
        """Create one account with a hashed password."""
        user = self.model(username=self.model.normalize_username(username), **fields)
        user.set_password(password)
        user.save(using=self._db)
        return user


class User(Row, AbstractBaseUser):
    """Somebody who works in the shop. People leave by `retired_at`; their rows stay."""

    class Role(models.TextChoices):
        """What somebody does here; see `core.permits` for what that allows."""

        OWNER = "owner", _("owner")
        TECHNICIAN = "technician", _("technician")
        COUNTER = "counter", _("counter")

    trail_kind = "user"
    username = models.CharField(max_length=40, unique=True)
    name = models.CharField(max_length=80)
    role = models.CharField(max_length=12, choices=Role.choices)
    badge_code = models.CharField(max_length=7, unique=True, default=new_code)
    retired_at = models.DateTimeField(null=True, blank=True)
    objects = UserManager()
    USERNAME_FIELD = "username"

    class Meta:
        verbose_name = _("person")
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(condition=Q(role__in=["owner", "technician", "counter"]), name="people_user_role"),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def is_active(self) -> bool:  # type: ignore[override]
        """Tell Django's sign-in whether this person still works here."""
        return self.retired_at is None


class SecondFactor(Row):
    """A telephone that shows codes for signing in. Its secret is derived from the id and lies in no table.

    last_step is the time step of the code that was used last: no code counts twice.
    """

    user = models.ForeignKey(User, on_delete=models.PROTECT, related_name="second_factors")
    confirmed_at = models.DateTimeField(null=True, blank=True)
    last_step = models.BigIntegerField(default=0)
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        verbose_name = _("second factor")
        constraints = [
            models.UniqueConstraint(fields=["user"], condition=Q(ended_at=None), name="people_one_second_factor"),
        ]


class RecoveryCode(Row):
    """One use of the second factor without the telephone; only the code's hash is kept."""

    factor = models.ForeignKey(SecondFactor, on_delete=models.PROTECT, related_name="recovery_codes")
    code_hash = models.CharField(max_length=64, unique=True)
    used_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        verbose_name = _("recovery code")


class DeviceToken(Row):
    """A device (a tablet, a script) that uses the API in somebody's name; only the token's hash is kept."""

    trail_kind = "token"
    user = models.ForeignKey(User, on_delete=models.PROTECT, related_name="tokens")
    name = models.CharField(max_length=60)
    token_hash = models.CharField(max_length=64, unique=True)
    last_used_at = models.DateTimeField(null=True, blank=True)
    revoked_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        verbose_name = _("device token")
        ordering = ["created_at"]


class Customer(Versioned):
    """Somebody whose units come here."""

    class Channel(models.TextChoices):
        """How the customer wants to hear from the shop."""

        EMAIL = "email", _("e-mail")
        SMS = "sms", _("text message")
        NONE = "none", _("not at all")

    trail_kind = "customer"
    name = models.CharField(max_length=120)
    email = models.EmailField(blank=True)
    phone = models.CharField(max_length=20, blank=True, help_text="E.164")
    channel = models.CharField(max_length=8, choices=Channel.choices, default=Channel.EMAIL)
    language = models.CharField(max_length=8, default="en")
    time_zone = models.CharField(max_length=40, blank=True)
    postal_address = models.TextField(blank=True)
    notice_consent_at = models.DateTimeField(null=True, blank=True)
    retired_at = models.DateTimeField(null=True, blank=True)
    search = FoldedField(max_length=600, default="", editable=False, db_index=True, sources=("name", "email", "phone"))

    class Meta:
        verbose_name = _("customer")
        ordering = ["name"]
        indexes = [
            models.Index(fields=["email"], name="people_customer_email"),
            models.Index(fields=["phone"], name="people_customer_phone"),
        ]
        constraints = [
            models.CheckConstraint(condition=~Q(name=""), name="people_customer_named"),
            models.CheckConstraint(
                condition=~Q(email="") | ~Q(phone="") | ~Q(postal_address=""), name="people_customer_reachable"
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def initials(self) -> str:
        """Return the first letter of each of the first three names, for printed labels."""
        return "".join(part[0] for part in self.name.split()[:3]).upper()


class Place(Versioned):
    """A shelf, a box or a bench: scannable, with room for so many units."""

    class Kind(models.TextChoices):
        """What sort of place; only a bench is worked at, only a sealed box keeps insects in."""

        SHELF = "shelf", _("shelf")
        BOX = "box", _("box")
        SEALED = "sealed", _("sealed box")
        BENCH = "bench", _("bench")

    trail_kind = "place"
    name = models.CharField(max_length=40, unique=True)
    kind = models.CharField(max_length=8, choices=Kind.choices)
    code = models.CharField(max_length=7, unique=True, default=new_code)
    capacity = models.PositiveSmallIntegerField(default=1)
    equipment = models.JSONField(default=list, blank=True)
    retired_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        verbose_name = _("place")
        ordering = ["kind", "name"]
        constraints = [models.CheckConstraint(condition=Q(capacity__gte=1), name="people_place_capacity")]

    def __str__(self) -> str:
        return self.name


class SignInFailure(models.Model):
    """A refused sign-in, for slowing down whoever guesses."""

    username = models.CharField(max_length=40, db_index=True)
    address = models.CharField(max_length=45)
    at = models.DateTimeField(default=clock.now, db_index=True)
