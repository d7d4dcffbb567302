"""How often one sender, one account or one mail address may ask: counted in the database."""
