"""Money of a sale: lines, discounts, tax by rate, deposit; one engine for build, quote and deal."""
