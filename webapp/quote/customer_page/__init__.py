"""What the customer sees under the quote's link: asking, the sheet, answering."""
