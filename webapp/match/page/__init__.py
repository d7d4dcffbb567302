"""The page *Match a position*."""
