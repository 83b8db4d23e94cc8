"""Files at a site's root that other programs look for: robots, sitemap, security contact.

Formats: RFC 9309 (robots.txt), the sitemap protocol 0.9 of sitemaps.org, RFC 9116
(security.txt, whose `Expires` should be less than a year ahead).
"""

from collections.abc import Iterable
from datetime import date, timedelta
from xml.sax.saxutils import escape

from bedside.model.records import Nursery
from bedside.pages.frame.addresses import HOME, SEASON
from bedside.pages.frame.desk import SitePage

SECURITY = ".well-known/security.txt"
VALID_DAYS = 364


def root_files(
    nursery: Nursery, pages: Iterable[SitePage], newest: str
) -> dict[str, bytes]:
    """The three files by name; `newest` is the only date a build may know."""
    site = nursery.site.rstrip("/") + "/"
    expires = date.fromisoformat(newest) + timedelta(days=VALID_DAYS)
    security = (
        f"Contact: mailto:{nursery.email}\nExpires: {expires}T00:00:00Z\n"
        f"Preferred-Languages: en\nCanonical: {site}{SECURITY}\n"
    )
    return {
        "robots.txt": f"User-agent: *\nAllow: /\n\nSitemap: {site}sitemap.xml\n".encode(),
        "sitemap.xml": _sitemap(site, pages).encode(),
        SECURITY: security.encode(),
    }


def is_worth_finding(page: SitePage) -> bool:
    """Home, records, reference and years; not the steps of a walk, nor short addresses."""
    return page.search or page.address == HOME or page.address.startswith(SEASON)


def _sitemap(site: str, pages: Iterable[SitePage]) -> str:
    rows = "".join(
        f"<url><loc>{escape(site + page.address)}</loc></url>\n"
        for page in pages
        if is_worth_finding(page)
    )
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        '<urlset xmlns="http://www.sitemaps.org/schemas/sitemap/0.9">\n'
        f"{rows}</urlset>\n"
    )
