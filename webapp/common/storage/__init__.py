"""The database: sessions, who may use it when, and what is said when it fails."""
