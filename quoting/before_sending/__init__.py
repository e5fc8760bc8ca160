"""Before an offer goes out: what is still open about its price, settled or sent on the owner's word."""
