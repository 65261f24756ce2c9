"""Who works when, the plans made from it, and the dates told to customers."""
