"""What happened at the doors, one line each in the log "wickline.security" (OWASP ASVS 5.0, chapter 16).

A line says what, from which network and who, by id. It never holds a password, a token, a typed name or an address
with a secret in it: a mistyped name is often the password, and logs are read by more people than the shop's tables.
"""

import logging
import re
from enum import StrEnum

from shop.core.addresses import network_of

_log = logging.getLogger("wickline.security")
# Whatever could end a line or look like another field becomes a question mark.
_ODD = re.compile(r"[^\w.:/@-]", re.ASCII)


class Event(StrEnum):
    """What is worth a line."""

    SIGNED_IN = "signed_in"
    SIGNED_OUT = "signed_out"
    SIGN_IN_REFUSED = "sign_in_refused"
    SIGN_IN_SLOWED = "sign_in_slowed"
    CODE_REFUSED = "code_refused"
    FACTOR_ON = "second_factor_on"
    FACTOR_OFF = "second_factor_off"
    TOKEN_REFUSED = "token_refused"  # noqa: S105
    ROLE_REFUSED = "role_refused"
    LINK_REFUSED = "link_refused"
    LINK_SLOWED = "link_slowed"


_WORTH_A_LOOK = (Event.SIGN_IN_SLOWED, Event.ROLE_REFUSED, Event.LINK_SLOWED)


def record(event: Event, *, address: str = "", who: str = "", **facts: str) -> None:
    """Write one line. address is a network address, who an account's id; facts are codes of this program's own."""
    level = logging.WARNING if event in _WORTH_A_LOOK else logging.INFO
    given = {"from": network_of(address), "who": who} | facts
    words = " ".join(f"{name}={_ODD.sub('?', value)[:80]}" for name, value in given.items() if value)
    _log.log(level, "%s %s", event.value, words)


# A customer's link, the link that stops messages, and the address that a gateway reports to.
_SECRET_PATH = re.compile(r"((?:/c/|/c/stop/)(?=[\w-]{40})|/messages/reports/)[\w-]+")


class WithoutSecrets(logging.Filter):
    """Takes the secret out of a customer's address before a line is written: one who is slowed down has a true one."""

    def filter(self, record: logging.LogRecord) -> bool:
        """Let every line pass, masked."""
        record.msg, record.args = _SECRET_PATH.sub(r"\1…", record.getMessage()), None
        return True
