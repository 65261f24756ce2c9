"""How this face's own refusals read. Each says what to do next."""

from django.utils.translation import gettext_lazy as _

SENTENCES = {
    "token_needed": _("Send the device's token as: Authorization: Bearer wl_… The owner issues tokens."),
    "token_unknown": _("This token or link is not known here, or it was withdrawn. Ask the shop for a new one."),
    "forbidden": _("This is not permitted. Ask the owner."),
    "other_origin": _("This was sent from another site's page. Open the shop's own page and repeat it there."),
    "no_such_address": _("There is nothing at this address. Look at the schema at /api/v1/schema."),
    "method_unknown": _("This address does not take that method. The Allow header names those that it takes."),
    "throttled": _("Too many requests came from here. Wait as long as the Retry-After header says, then repeat."),
    "media_type_unknown": _("Send JSON as application/json, or a picture as multipart/form-data where one is taken."),
    "body_too_large": _("The request is larger than {limit_mb} MB. Send less at once."),
    "not_readable": _("The request cannot be read. Check that it is well-formed JSON in UTF-8."),
    "cursor_unknown": _("The value of after is not one that this list gave. Start again without it."),
    "version_needed": _("Send the ETag that you saw as If-Match, so that nobody's change is overwritten."),
    "version_unreadable": _('If-Match must hold one ETag of this resource, like "3".'),
    "key_unreadable": _("An Idempotency-Key has 1 to {limit} printable ASCII characters. Send another."),
}
