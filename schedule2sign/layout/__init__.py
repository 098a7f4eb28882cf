"""Sign, braille and template to finished geometry."""
