"""Changes of parts and prices: shown with their effect, put in force, taken back."""
