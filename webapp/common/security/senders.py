"""Who sends a request, as far as limits are concerned."""

from __future__ import annotations

from ipaddress import IPv6Address, IPv6Network, ip_address


def sender_of(host: str) -> str:
    """The network a request is counted for.

    Whoever has an IPv6 address mostly has all of its /64 (RFC 6177, section 2 [M]),
    so that is counted as one; an IPv4 address written as IPv6 is the IPv4 address.

    Examples
    --------
    >>> sender_of("203.0.113.7"), sender_of("::ffff:203.0.113.7")
    ('203.0.113.7', '203.0.113.7')
    >>> sender_of("2001:db8:1:2:3:4:5:6"), sender_of("2001:db8:1:2:ffff::1%eth0")
    ('2001:db8:1:2::/64', '2001:db8:1:2::/64')
    >>> sender_of("a pipe"), sender_of("")
    ('a pipe', '')
    """
    try:
        address = ip_address(host.partition("%")[0])
    except ValueError:
        return host[:60]
    if not isinstance(address, IPv6Address):
        return str(address)
    if address.ipv4_mapped is not None:
        return str(address.ipv4_mapped)
    return str(IPv6Network((address, 64), strict=False))
