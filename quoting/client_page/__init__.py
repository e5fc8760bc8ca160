"""The client's page: one offer behind its link, without an account."""
