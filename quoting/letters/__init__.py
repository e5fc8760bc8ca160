"""Letters to clients: their words in each language, which a studio may write anew."""
