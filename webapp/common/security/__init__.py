"""Security headers, refused cross-site writes, rate limits, unguessable tokens."""
