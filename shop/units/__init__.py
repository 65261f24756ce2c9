"""Units, bags, findings, holds and their labels."""
