"""How the core's refusals read. Each says what to do next."""

from django.utils.translation import gettext_lazy as _

SENTENCES = {
    "not_permitted": _("Your role, {role}, may not do this. Ask the owner."),
    "missing": _("There is no {thing} with the code or number {sought}. Check what was typed or scan it again."),
    "stale": _("Somebody changed this in the meantime. Look at it again, then repeat what you wanted."),
    "key_reused": _("This request was already used for something else. Load the page again and send it once more."),
    "blank": _("{label} is empty. Fill it in."),
    "hidden_character": _("{label} contains a line break or a hidden character. Type it again, in one line."),
    "too_long": _("{label} is longer than {limit} characters. Shorten it."),
    "out_of_range": _("{label} must be from {low} to {high}."),
    "not_a_choice": _("{label} cannot be {given}. Choose one of: {choices}."),
    "not_a_number": _("{label} is not a number: {given}. Write it with digits, for example 12.50."),
    "not_a_time_zone": _("{given} is not a time zone. Write one like America/New_York."),
    "not_accepted": _("{label} cannot stay like this: {why} Correct it and save again."),
    "negative_money": _("{label} is below zero. Write it without a minus sign."),
    "code_malformed": _("{given} is not a code of this shop. A code has {length} characters and a check character."),
    "code_check_wrong": _(
        "One character of {given} is wrong: the check character does not match. Type it again or scan it."
    ),
    "photo_too_large": _("The picture has {size_mb} MB; at most {limit_mb} MB are taken. Take it at a smaller size."),
    "photo_too_many_pixels": _(
        "The picture has {pixels} million pixels; at most {limit} are taken. Take it at a smaller size."
    ),
    "photo_unreadable": _("This file is not a picture that can be read. Send a JPEG, PNG or WebP."),
}
