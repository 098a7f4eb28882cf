"""Verification: an output folder read back by code that shares nothing with the writers."""
