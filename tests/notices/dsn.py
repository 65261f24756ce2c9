"""Reports of delivery as mail servers write them: multipart/report of RFC 6522 with the fields of RFC 3464."""

_WHOLE = "\n\n--part\nContent-Type: message/rfc822\n\n{original}\n\nHello\n"
_HEADERS = "\n\n--part\nContent-Type: text/rfc822-headers\n\n{original}\n"
_RETURNED = {"whole": _WHOLE, "headers": _HEADERS, "nothing": ""}
_REPORT = """\
From: MAILER-DAEMON@post.example
To: shop@shop.test
Subject: Undelivered mail returned to sender
Message-ID: <report-1@post.example>
{answers}MIME-Version: 1.0
Content-Type: multipart/report; report-type=delivery-status; boundary="part"

--part
Content-Type: text/plain; charset=us-ascii

Your message could not be delivered.

--part
Content-Type: message/delivery-status

Reporting-MTA: dns; mail.post.example
Arrival-Date: Tue, 10 Mar 2026 09:00:00 +0000

Final-Recipient: rfc822; {recipient}
Action: {action}
Status: {status}
Diagnostic-Code: {diagnostic}
{returned}
--part--
"""
_ORIGINAL = "From: shop@shop.test\nTo: {recipient}\nSubject: Your Lantern is ready\nMessage-ID: {message_id}"


def dsn(
    message_id: str,
    *,
    action: str = "failed",
    status: str = "5.1.1",
    recipient: str = "ada@post.example",
    diagnostic: str = "smtp; 550 5.1.1 no such mailbox here",
    returned: str = "headers",
) -> bytes:
    """Write a report about one recipient. returned: whole, headers or nothing of the message comes back."""
    original = _ORIGINAL.format(recipient=recipient, message_id=message_id)
    text = _REPORT.format(
        answers=f"In-Reply-To: {message_id}\n" if returned == "nothing" else "",
        recipient=recipient,
        action=action,
        status=status,
        diagnostic=diagnostic,
        returned=_RETURNED[returned].format(original=original),
    )
    return text.replace("\n", "\r\n").encode()
