"""Notes become one dated, ordered stream of events.

`work` holds what hands did, `money` what changed hands; `stream` puts them in one order: date, then the day's
order (received, salvaged, used, sold, counted), then file and line. An event dated after the day asked for is not in it.
"""
