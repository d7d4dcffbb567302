"""Every component of the pages on one page, for building and testing pages."""
