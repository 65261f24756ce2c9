"""Bills, payments and releases."""
