"""Mail: written into an outbox with what it tells of, sent in the background."""
