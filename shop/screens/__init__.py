"""Staff pages."""
