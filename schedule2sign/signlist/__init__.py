"""Which row gets which sign, on which side, and why; the row accounting."""
