"""What is done at the bench."""
