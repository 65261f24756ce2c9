"""The API's addresses, a module for each group of things."""
