"""Device models, board revisions, services."""
