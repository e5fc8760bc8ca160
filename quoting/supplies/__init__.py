"""What a quote needs and the stock list doesn't know: bought, hired or made by a day."""
