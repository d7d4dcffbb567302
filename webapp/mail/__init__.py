"""Mail: written into an outbox together with the change it reports, sent in the background."""
