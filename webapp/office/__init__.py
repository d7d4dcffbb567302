"""The drawing office: the builder's revisions, parts, prices, settings and bench."""
