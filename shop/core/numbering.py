"""Numbers without gaps: a counter row, counted up in the transaction that uses the number."""

from django.db import connection


def next_number(series: str) -> int:
    """Return the next number of a series, starting at 1. A rolled-back transaction gives its number back."""
    with connection.cursor() as cursor:
        cursor.execute(
            "INSERT INTO core_counter (series, value) VALUES (%s, 1) "
            "ON CONFLICT (series) DO UPDATE SET value = core_counter.value + 1 RETURNING value",
            [series],
        )
        row = cursor.fetchone()
    return int(row[0])
