"""The content of a quote: frozen once from a computed build, and stored compressed."""
