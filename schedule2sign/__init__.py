"""Door and room schedules in; tactile room signs with contracted braille, checked and ready to cut, out."""

__version__ = "0.1.0"
