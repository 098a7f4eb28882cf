"""One rule a file: each only reads values off the sign; the engine judges them."""
