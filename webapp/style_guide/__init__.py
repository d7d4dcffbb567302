"""The look of the pages: every component on one page, for building and testing pages."""
