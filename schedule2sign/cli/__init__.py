"""Arguments, progress, summary, exit codes; no domain logic."""
