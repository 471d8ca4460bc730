"""Commands for what the counter says: moulding-price, quote, quotes, quote-again, take-quote."""
