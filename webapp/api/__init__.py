"""The JSON interface, version 1: the same services as the pages, described by OpenAPI."""
