"""Template tags shared by the staff's and the customer's pages."""
