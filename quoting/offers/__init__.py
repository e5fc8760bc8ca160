"""Offers: a quote frozen, sent, and answered by the client."""
