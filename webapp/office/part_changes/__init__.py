"""Changes of parts and prices: seen with their effect, put in force, taken back."""
