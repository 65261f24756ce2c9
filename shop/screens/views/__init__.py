"""The staff's pages, one module for each place in the shop."""
