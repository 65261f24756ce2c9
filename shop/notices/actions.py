"""What faces may call of this room."""

from shop.notices.choices import choose_messages
from shop.notices.reports import take_bounce, take_sms_report
from shop.notices.sending import LEASE, TRIES, send_again, send_envelope
from shop.notices.template_actions import back_to_standard, keep_template, preview, try_out

__all__ = [
    "LEASE",
    "TRIES",
    "back_to_standard",
    "choose_messages",
    "keep_template",
    "preview",
    "send_again",
    "send_envelope",
    "take_bounce",
    "take_sms_report",
    "try_out",
]
