"""The second step of signing in: which codes count, how often, and how slowly a guesser goes."""

from datetime import UTC, datetime, timedelta

import pyotp
import pytest
from django.core.management import CommandError, call_command
from time_machine import Traveller

from shop.core import clock
from shop.core.actor import Actor, Role
from shop.core.models import TrailEntry
from shop.core.reasons import Refused
from shop.people import second_factor
from shop.people.models import RecoveryCode, SecondFactor, User
from shop.people.token_actions import actor_of


def code_of(user: User, *, ahead_s: int = 0) -> str:
    """What the telephone shows, now or some seconds from now."""
    factor = SecondFactor.objects.get(user=user, ended_at=None)
    return pyotp.TOTP(second_factor.secret_of(factor)).at(clock.now() + timedelta(seconds=ahead_s))


def turn_on(user: User) -> list[str]:
    second_factor.begin(actor=actor_of(user))
    return second_factor.confirm(actor=actor_of(user), code=code_of(user))


def lets_in(user: User, code: str) -> bool:
    try:
        second_factor.check(user=user, code=code, address="192.0.2.7")
    except Refused as refused:
        if refused.code != "code_wrong":
            raise
        return False
    return True


def test_it_is_on_when_the_telephone_has_shown_a_code_and_not_before(ottilie: User, frozen: Traveller) -> None:
    second_factor.begin(actor=actor_of(ottilie))
    assert second_factor.factor_of(ottilie) is None
    with pytest.raises(Refused, match="code_wrong"):
        second_factor.confirm(actor=actor_of(ottilie), code="000000")
    assert second_factor.factor_of(ottilie) is None
    second_factor.confirm(actor=actor_of(ottilie), code=code_of(ottilie))
    assert second_factor.factor_of(ottilie) is not None
    assert TrailEntry.objects.filter(subject_id=ottilie.pk, what="second_factor_on").count() == 1
    with pytest.raises(Refused, match="factor_there"):
        second_factor.begin(actor=actor_of(ottilie))


def test_a_code_counts_once(ottilie: User, frozen: Traveller) -> None:
    turn_on(ottilie)
    assert not lets_in(ottilie, code_of(ottilie))  # it has confirmed the telephone
    frozen.shift(30)
    code = code_of(ottilie)
    assert lets_in(ottilie, code)
    assert not lets_in(ottilie, code)


@pytest.mark.parametrize(("ahead_s", "counts"), [(-60, False), (-30, True), (0, True), (30, True), (60, False)])
def test_a_telephone_may_be_half_a_minute_off(ottilie: User, frozen: Traveller, ahead_s: int, counts: bool) -> None:
    turn_on(ottilie)
    frozen.shift(300)
    assert lets_in(ottilie, code_of(ottilie, ahead_s=ahead_s)) is counts


def test_a_recovery_code_counts_once_however_it_is_typed(ottilie: User, frozen: Traveller) -> None:
    codes = turn_on(ottilie)
    assert len(set(codes)) == second_factor.RECOVERY_CODES
    assert lets_in(ottilie, f" {codes[0][:5].lower()}-{codes[0][5:]} ")
    assert not lets_in(ottilie, codes[0])
    assert lets_in(ottilie, codes[1])


@pytest.mark.parametrize("code", ["", " ", "12345", "1234567", "١٢٣٤٥٦", "\U0001f511" * 6, "A" * 10, "0" * 10_000])
def test_anything_else_is_no_code(ottilie: User, frozen: Traveller, code: str) -> None:
    turn_on(ottilie)
    assert not lets_in(ottilie, code)


def test_somebody_elses_code_lets_nobody_in(ottilie: User, jun: User, frozen: Traveller) -> None:
    turn_on(ottilie)
    recovery = turn_on(jun)
    frozen.shift(30)
    assert not lets_in(ottilie, code_of(jun))
    assert not lets_in(ottilie, recovery[0])


def test_five_wrong_codes_close_the_door_for_the_right_one_too(ottilie: User, frozen: Traveller) -> None:
    turn_on(ottilie)
    frozen.shift(30)
    assert [lets_in(ottilie, "000000") for _ in range(5)] == [False] * 5
    with pytest.raises(Refused, match="sign_in_wait"):
        second_factor.check(user=ottilie, code=code_of(ottilie), address="198.51.100.9")
    frozen.shift(15 * 60 + 1)
    assert lets_in(ottilie, code_of(ottilie))


def test_the_secret_lies_in_no_table_and_differs_by_factor(ottilie: User, jun: User) -> None:
    first = second_factor.begin(actor=actor_of(ottilie))
    assert second_factor.begin(actor=actor_of(ottilie)) == first
    other = second_factor.begin(actor=actor_of(jun))
    assert second_factor.secret_of(first) != second_factor.secret_of(other)
    assert len(second_factor.secret_of(first)) == 32  # 160 bits in base 32, RFC 4226 section 4
    stored = [str(value) for row in SecondFactor.objects.values_list() for value in row]
    assert second_factor.secret_of(first) not in stored


def test_recovery_codes_are_kept_as_hashes(ottilie: User, frozen: Traveller) -> None:
    codes = turn_on(ottilie)
    stored = set(RecoveryCode.objects.values_list("code_hash", flat=True))
    assert len(stored) == 8
    assert not stored & set(codes)


def test_turning_it_off_takes_a_code_for_oneself_and_the_owner_for_others(
    ottilie: User, jun: User, frozen: Traveller
) -> None:
    turn_on(jun)
    with pytest.raises(Refused, match="not_permitted"):
        second_factor.end(actor=actor_of(jun), user_id=ottilie.pk)
    with pytest.raises(Refused, match="code_wrong"):
        second_factor.end(actor=actor_of(jun), user_id=jun.pk, code="000000")
    second_factor.end(actor=actor_of(ottilie), user_id=jun.pk)
    assert second_factor.factor_of(jun) is None
    with pytest.raises(Refused, match="factor_missing"):
        second_factor.end(actor=actor_of(ottilie), user_id=jun.pk)
    codes = turn_on(jun)
    second_factor.end(actor=actor_of(jun), user_id=jun.pk, code=codes[3])
    assert second_factor.factor_of(jun) is None


def test_whoever_keeps_the_machine_can_turn_it_off(
    ottilie: User, frozen: Traveller, capsys: pytest.CaptureFixture[str]
) -> None:
    turn_on(ottilie)
    call_command("second_step_off", ottilie.username)
    assert second_factor.factor_of(ottilie) is None
    assert "with the password alone" in capsys.readouterr().out
    with pytest.raises(CommandError, match="no second step"):
        call_command("second_step_off", ottilie.username)
    with pytest.raises(CommandError, match="Nobody signs in as nemo"):
        call_command("second_step_off", "nemo")


def test_a_stranger_sets_nothing_up(ottilie: User) -> None:
    with pytest.raises(Refused, match="not_permitted"):
        second_factor.begin(actor=Actor(role=Role.STRANGER, id=str(ottilie.pk)))


# RFC 6238, appendix B, the rows for SHA-1; the last six of its eight digits. RFC 4226, appendix D, has the first.
PUBLISHED = [
    (59, "287082"),
    (1111111109, "081804"),
    (1111111111, "050471"),
    (1234567890, "005924"),
    (2000000000, "279037"),
    (20000000000, "353130"),
]


@pytest.mark.parametrize(("second", "code"), PUBLISHED)
def test_it_takes_the_codes_that_rfc_6238_publishes(
    ottilie: User, monkeypatch: pytest.MonkeyPatch, time_machine: Traveller, second: int, code: str
) -> None:
    monkeypatch.setattr(second_factor, "secret_of", lambda _factor: "GEZDGNBVGY3TQOJQGEZDGNBVGY3TQOJQ")
    time_machine.move_to(datetime.fromtimestamp(second, tz=UTC), tick=False)
    SecondFactor.objects.create(user=ottilie, confirmed_at=datetime.fromtimestamp(second, tz=UTC))
    assert lets_in(ottilie, code)
