"""Mails about quotes and orders: what they say, and putting them into the outbox."""
