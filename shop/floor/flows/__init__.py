"""Verbs that touch several rooms at once. A face calls one of these, or one action of a room."""
