"""The page of the bike ridden now."""
