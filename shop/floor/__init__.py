"""The journey: it knows all the other rooms and has no tables."""
