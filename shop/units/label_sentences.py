"""How refusals of labels and scans read."""

from django.utils.translation import gettext_lazy as _

LABEL_SENTENCES = {
    "label_address_too_long": _(
        "The address on labels has {length} characters; its QR code would be too fine to print on {side_mm} mm. "
        "Set WICKLINE_SHOP_ADDRESS to a shorter one, for example http://192.0.2.10:8000."
    ),
    "label_address_not_ascii": _(
        "The address on labels has the character {sign}, which some phones misread. Write WICKLINE_SHOP_ADDRESS "
        "with plain letters and digits (a name with accents in its xn-- form)."
    ),
    "labels_none": _("There is no label to print. Choose at least one bag, place or badge."),
    "scan_empty": _("Nothing was scanned. Scan the tag again or type its code."),
    "scan_not_ours": _(
        "“{given}” is no tag of this shop. Scan the QR code of a bag, a place or a badge, or type the code beneath it."
    ),
    "code_without_check": _(
        "The last character of {given} is missing. Type all {symbols} characters of the code, or scan it."
    ),
    "tag_unknown": _("No tag with the code {code} is in use here. Check what was typed, or scan the label again."),
    "tag_two_readings": _(
        "The scanner mixed up Y and Z, and both {first} and {second} exist. Type the code by hand, and set the "
        "scanner to this computer's keyboard."
    ),
    "badge_retired": _("The badge of {name} is no longer in use. Ask the owner for a new one."),
    "picture_no_code": _(
        "No QR code was found in the picture. Go nearer, hold the phone still, avoid glare, or type the code."
    ),
    "picture_many_codes": _(
        "There are {count} different codes in the picture. Take it again with a single label in view, or type the code."
    ),
}
