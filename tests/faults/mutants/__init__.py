"""Small changes planted into the product's rules, one at a time: which of them does no test notice?"""
