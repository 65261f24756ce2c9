"""Tax, accounts and postings."""
