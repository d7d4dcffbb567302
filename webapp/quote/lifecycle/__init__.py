"""The life of a quote: asked for, sent, accepted, changed, declined; each step with its checks."""
