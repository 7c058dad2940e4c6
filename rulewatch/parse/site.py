"""`site.yaml`: what the site is called, and where it will be."""

from __future__ import annotations

from rulewatch.model.fault import Fault, Source
from rulewatch.model.site import SiteSettings
from rulewatch.parse.fields import Report, open_fields
from rulewatch.parse.nodes import read_yaml

KEYS = ("title", "base")


def parse_site(source: Source) -> tuple[SiteSettings, tuple[Fault, ...]]:
    """Read `site.yaml`: `title`, and `base`, the address that the site will have (printed on paper, never fetched)."""
    node, faults = read_yaml(source)
    report = Report(source=source, faults=list(faults))
    fields = open_fields(node, report, "site.yaml", optional=KEYS) if node is not None else None
    if fields is None:
        return SiteSettings(), tuple(report.faults)
    base = fields.text("base")
    if base and not base.startswith(("http://", "https://")):
        report.fault(
            "wrong-value", fields.place_of("base"), f"`{base}` for `base`", expected="an address that begins with https://"
        )
        base = ""
    settings = SiteSettings(title=fields.text("title"), base=base)
    return settings, tuple(report.faults)
