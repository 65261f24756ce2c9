"""One unit through the whole job over HTTP alone, as a newcomer, a customer and a program would do it."""
