"""Frozen values handed from stage to stage: no input or output, no third-party imports."""
