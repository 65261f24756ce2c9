"""How many queries each page takes, whatever the number of rows. A ratchet: these numbers only ever go down.

Each includes two for who is signed in; the customer's page has none of those.
"""

QUERY_COUNTS = {
    "floor": 10,
    "counter": 7,
    "counter, searching": 12,
    "write-up": 11,
    "bench": 13,
    "notices": 9,
    "shop": 10,
    "scan": 3,
    "place": 8,
    "badge": 8,
    "unit at the bench": 47,
    "unit in the queue": 43,
    "unit in pickup": 53,
    "quote": 10,
    "labels of a unit": 8,
    "labels of the shop": 4,
    "library": 9,
    "a part": 5,
    "a service": 6,
    "somebody": 5,
    "a place to change": 5,
    "one's own account": 5,
    "customer's page": 13,
    "customer's page, its middle": 13,
}
