"""A builder's own shop: setting it up, its mark and colour, removing the demo."""
