"""Row text to clean names and numbers, with every change on record."""
