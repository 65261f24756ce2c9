"""How many queries each page takes, whatever the number of rows. A ratchet: these numbers only ever go down.

Each includes two for who is signed in; the customer's page has none of those.
"""

QUERY_COUNTS = {
    "floor": 10,
    "counter": 8,
    "counter, searching": 13,
    "write-up": 11,
    "bench": 14,
    "notices": 11,
    "shop": 10,
    "scan": 3,
    "place": 8,
    "badge": 8,
    "unit at the bench": 49,
    "unit in the queue": 47,
    "unit in pickup": 53,
    "quote": 16,
    "labels of a unit": 8,
    "labels of the shop": 4,
    "library": 9,
    "a part": 5,
    "a service": 6,
    "somebody": 5,
    "a place to change": 5,
    "one's own account": 5,
    "plan": 21,
    "plan, one sheet": 18,
    "plan, one unit": 15,
    "plan, facts": 11,
    "plan, flow": 14,
    "plan, what if": 5,
    "customer's page": 6,
    "customer's page, its middle": 5,
}
