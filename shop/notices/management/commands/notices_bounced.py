"""Take a report of delivery from the mail server."""

import sys
from typing import Any

from django.core.management.base import CommandError

from shop.core.actor import SYSTEM
from shop.core.commands import ShopCommand
from shop.core.reasons import Refused, sentence
from shop.notices.actions import take_bounce
from shop.notices.bounces import LIMIT_BYTES

# sysexits.h: a mail server that pipes a message in keeps it and comes again for the first, not for the second.
TEMPORARY, DATA = 75, 65


class Command(ShopCommand):
    """Read one message on standard input, as a mail server pipes it in, and record what it reports."""

    help = "Takes a report of delivery (RFC 3464) on standard input: manage.py notices_bounced < message"

    def handle(self, *_args: Any, **_options: Any) -> None:
        """Record it, and say of which message. Raises CommandError for what is no report about a message of ours."""
        try:
            envelope = take_bounce(actor=SYSTEM, raw=sys.stdin.buffer.read(LIMIT_BYTES))
        except Refused as refused:
            code = TEMPORARY if refused.code == "bounce_too_early" else DATA
            raise CommandError(sentence(refused.reasons[0]), returncode=code) from None
        self.stdout.write(f"{envelope.message_id} {envelope.get_delivery_display() or envelope.get_state_display()}")
