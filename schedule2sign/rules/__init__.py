"""Every requirement with its clause, measured on the geometry that will be cut."""
