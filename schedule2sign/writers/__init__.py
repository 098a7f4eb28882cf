"""A format a file, all pure; commit alone writes the disk."""
