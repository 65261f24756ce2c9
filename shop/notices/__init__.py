"""Messages to people, and their sending."""
