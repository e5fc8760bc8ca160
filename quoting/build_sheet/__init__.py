"""The build sheet: what a quote's set pieces are, said to the hands that make them."""
