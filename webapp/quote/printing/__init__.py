"""The quote on paper: the sheet's view and the PDF files."""
