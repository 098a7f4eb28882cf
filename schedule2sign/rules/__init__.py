"""Limits with their clauses, measured on the finished geometry."""
