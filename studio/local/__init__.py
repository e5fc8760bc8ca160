"""The services Billowbook needs, on one machine: `python -m studio.local demo | services | roles | packages`.

Imports no Django, so that it can prepare what Django's settings then read from the environment.
"""
