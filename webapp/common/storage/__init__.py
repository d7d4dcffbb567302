"""The database: sessions, locks on the whole database, and messages for its faults."""
