"""How this room's refusals read. Each says what to do next."""

from django.utils.translation import gettext_lazy as _

from shop.boards.table_sentences import TABLE_SENTENCES

SENTENCES = {
    **TABLE_SENTENCES,
    "tap_missing": _("The place of the tap did not arrive. Tap the picture itself, or give the place in figures."),
    "picture_not_straight": _("Nobody knows yet how this photo lies. Tap its two known points first."),
    "point_needs_place": _("Write where the point is, x and y in mm, before you tap it."),
    "wire_unreadable": _("{given} cannot be read as a wire. Write colour; length in mm; from; to."),
    "size_half_given": _("A size needs width and height. Give both, or none."),
    "model_taken": _("{maker} {name} is in the library already. Choose it there."),
    "revision_taken": _("{model} has a board marked {marking} already. Choose it there."),
    "designator_malformed": _(
        "{given} cannot be a designator. Write letters and digits as on the board, such as C60 or U3."
    ),
    "spread_too_wide": _("A spread of {spread} min is too wide for {minutes} min of work. Write less."),
    "mm_impossible": _("{label}: {given} mm cannot be. Write a number from {low} to {high}."),
    "rating_impossible": _(
        "{designator}: {given} cannot be a rating. Write more than 0 V, at most {high} V, as printed on the part."
    ),
    "placement_off_board": _(
        "{designator} at {x}, {y} mm would lie off the board, which is {width} × {height} mm. Check the place, the "
        "unit and the board's size."
    ),
    "placement_half_placed": _("{designator} has only one of x and y. Give both, or none."),
    "positive_missing": _(
        "{designator} is polarised. Say where its positive lead points, as the board lies in its picture."
    ),
    "variant_unknown": _(
        "{designator} depends on a variant. Name one of the board's: {known}. More are entered with the board's size."
    ),
    "label_malformed": _("{given} cannot label a group of fasteners. Write one to three letters or digits, such as A."),
    "places_too_many": _("{label} has {places} places but only {count} fasteners. Correct the count."),
    "fastener_off_case": _(
        "A place of {label} at {x}, {y} mm lies off the case outline, which is {width} × {height} mm. Check it."
    ),
    "points_too_many": _("A picture is straightened by two known points; these are {count}. Give two."),
    "points_too_close": _("The two known points lie too close together. Take two far apart, such as two corners."),
    "service_code_malformed": _(
        "{given} cannot be the code of a service. Use small letters and digits, joined by hyphens."
    ),
    "service_code_taken": _("There is already a service with the code {code}. Write another code."),
}
