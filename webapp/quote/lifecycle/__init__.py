"""What may become of a quote: asked for, sent, accepted, changed, declined."""
