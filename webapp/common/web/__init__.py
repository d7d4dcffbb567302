"""What every page and answer is made with: templates, static files, error answers, caching."""
