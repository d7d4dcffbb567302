"""The look of the pages: one page that shows every component, for those who build and test pages."""
