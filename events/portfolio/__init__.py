"""Finished work in public: what clients consented to, what the studio marked, and the page that shows it."""
