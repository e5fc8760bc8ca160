"""The trade's arithmetic: pure functions on frozen records, SI units inside, no framework, no clock."""
