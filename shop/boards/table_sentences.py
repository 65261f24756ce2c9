"""How the lines of a table that was taken in are spoken of: what to mend, and what to look at."""

from django.utils.translation import gettext_lazy as _

TABLE_SENTENCES = {
    "table_refused": _("Nothing was written: {count} lines need mending first. Look at the table again to see them."),
    "table_too_long": _("The table has more than {most} characters. Take it in parts."),
    "table_empty": _("No line of headings was found. The first line names the columns."),
    "table_nul_character": _("There are characters here that no table has. Save it as text."),
    "table_quote_unreadable": _("A quotation mark is opened and never closed. Close it, or take it out."),
    "table_column_missing": _("The columns {columns} are missing; those found are {seen}. Name them."),
    "table_column_twice": _("The column {column} stands there twice. Keep one."),
    "table_row_ragged": _("This line has {cells} cells where the headings have {columns}. Count its delimiters."),
    "table_rows_too_many": _("There are more than {most} rows. Take the table in parts."),
    "table_number_unreadable": _(
        "{field}: {cell} cannot be read as a number. Write digits, a point or a comma, mm or mil."
    ),
    "table_number_out_of_range": _("{field}: {value} is out of range. Write a number from {low} to {high}."),
    "table_word_unknown": _("{field}: {cell} is no word known here. Write another, or leave the cell empty."),
    "table_designator_malformed": _("{designator} cannot be a designator. Write letters and digits, such as C60."),
    "table_designator_twice": _("{designator} stands in line {first} already. A position has one line."),
    "table_coordinate_missing": _("Only one of x and y is given. Give {field} too, or leave both empty."),
    "table_off_board": _(
        "{designator} at {x_mm}, {y_mm} mm is off the board of {width_mm} × {height_mm} mm. Check place, unit, size."
    ),
    "table_unit_needed": _(
        "Read in {unit}, a part would lie {farthest_mm} mm away; no board is larger than {most_mm} mm. Choose the unit."
    ),
    "table_rating_impossible": _("{designator}: {rating} cannot be a rating. Write volts above 0, at most {most_v} V."),
    "table_fit_contradicts": _("One column says {fit} and another {dnp}. Let them say the same."),
    "table_variants_missing": _("It depends on a variant, but none is named. Name it in the column variants."),
    "table_positive_missing": _(
        "{designator} is polarised. Say where its plus points: a column positive with left, right, up or down."
    ),
    "table_label_malformed": _("{label} cannot label a group of fasteners. Write one to three letters or digits."),
    "table_where_missing": _("The group {label} does not say where it sits. Fill the column where."),
    "table_off_case": _(
        "{label} at {x_mm}, {y_mm} mm lies off the case of {width_mm} × {height_mm} mm. Check place, unit and size."
    ),
    "table_group_contradicts": _("The group {label} says something else of {field} in another line: {cell}."),
    "table_column_unknown": _("The column {column} is not known here and was left out."),
    "table_column_second": _("The column {column} says what {taken} says already; it was left out."),
    "table_lines_before_head": _("{count} lines before the headings were left out."),
    "table_value_unreadable": _("{designator}: {value} does not read as a value of such a part. Look at it again."),
    "table_kind_against_letter": _("{designator} is called {kind}, which its letters do not say. Look at it again."),
    "table_positive_from_rotation": _(
        "{designator}: its plus was reckoned from a rotation of {rotation_deg}° as {positive}. Check it on the board."
    ),
    "table_where_differs": _("The group {label} says another {field} in this line: {cell}. The first one was kept."),
    "table_count_raised": _("The group {label} has {places} places, so its count of {count} was raised."),
    "table_order_shared": _("The groups {label} and {other} come out at the same turn, {order}."),
    "table_no_warning": _(
        "{label} takes {length_mm} mm, and {longer} of {longer_mm} mm would go in too. Say what it would damage."
    ),
}
