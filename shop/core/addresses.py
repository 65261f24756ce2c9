"""Which network a request came from, for counting tries."""

import ipaddress


def network_of(address: str) -> str:
    """Return what counts as one address: an IPv4 address, or the /64 network that one IPv6 customer has whole.

    Text that is no address is returned as it is, cut to 45 characters.
    """
    try:
        parsed = ipaddress.ip_address(address)
    except ValueError:
        return address[:45]
    if isinstance(parsed, ipaddress.IPv6Address) and parsed.ipv4_mapped is None:
        return str(ipaddress.ip_network((parsed, 64), strict=False))
    return str(getattr(parsed, "ipv4_mapped", None) or parsed)
