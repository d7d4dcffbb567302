"""A builder's own shop: begun, shown with its mark and colour, and the demo taken out."""
