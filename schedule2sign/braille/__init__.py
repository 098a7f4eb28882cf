"""Text to cells, token by token; one module alone imports the engine."""
