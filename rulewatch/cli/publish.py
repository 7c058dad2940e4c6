"""`rulewatch publish`: write the site."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import click

from rulewatch import pipeline
from rulewatch.cli import output
from rulewatch.cli.output import counted, needed, print_faults, say
from rulewatch.model.site import SiteInput
from rulewatch.publish.site import site_files
from rulewatch.store.writing import swap_folder


@click.command("publish")
@click.option(
    "--today", metavar="YYYY-MM-DD", type=click.DateTime(["%Y-%m-%d"]), help="The day the site is for; today if not given."
)
@click.pass_obj
def command(root: Path, *, today: datetime | None) -> None:
    """Write the site.

    It goes to site/public, a link that is set to the new site only when that is complete. The same workspace and day give the
    same bytes.
    """
    day = today.date() if today is not None else output.today()
    value: SiteInput = needed(pipeline.site(root, day))
    files = site_files(value)
    target = root / "site" / "public"
    fault = swap_folder(target, files)
    if fault is not None:
        print_faults([fault])
        raise SystemExit(2)
    say(f"{counted(len(files), 'file')} written: open {(target / 'index.html')}")
