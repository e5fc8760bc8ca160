"""Two or three versions of one quote, offered side by side: the client picks one.

Each version is a quote of its own under the first one, its lead: it has its own pieces, lines, price, undo and stock
words, and everything that works on a quote works on it. Lists show the lead alone. An offer is made of the lead and
freezes all of its versions in one document. When the client agrees, lead and picked version exchange what they quote,
so that build sheet, supplies and whatever else hangs on the offer's quote have what was picked and nothing else.
"""
