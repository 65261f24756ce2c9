"""The reckoner: the bench's calculations as forms and sentences. The arithmetic is in `shop.engineering`."""
