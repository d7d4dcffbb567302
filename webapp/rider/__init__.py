"""A rider: what was told, what follows for the body, where it sits, and what a style asks."""
