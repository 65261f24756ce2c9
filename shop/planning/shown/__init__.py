"""What pages and the API show of the plan; nothing is written."""
