"""The library: a workspace as it is now and as it stood at any revision, and plain files; it gives the edition at a point."""

from __future__ import annotations

from contextlib import ExitStack
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Self

from rulewatch.model.edition import Edition, Point, SettledPair
from rulewatch.model.fault import Fault, Place, in_order
from rulewatch.plain_book import plain_edition
from rulewatch.store.folder import FolderTree, read_file
from rulewatch.store.tree import Tree

if TYPE_CHECKING:
    from rulewatch.workspace import Workspace


class Library:
    """Opens a workspace once for each revision asked for, and closes them all at the end of its `with` block."""

    def __init__(self, root: Path) -> None:
        self.root = root
        self._open = ExitStack()
        self._workspaces: dict[str, Workspace | None] = {}
        self._faults: list[Fault] = []

    def __enter__(self) -> Self:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None) -> None:
        self._open.close()

    @property
    def faults(self) -> tuple[Fault, ...]:
        """Everything found wrong so far, in every workspace and file that was opened."""
        found = [fault for workspace in self._workspaces.values() if workspace is not None for fault in workspace.faults]
        return in_order((*self._faults, *found))

    def workspace(self, revision: str = "") -> Workspace | None:
        """The workspace at a revision, now if that is empty; None, with a fault, where there is none."""
        if revision not in self._workspaces:
            self._workspaces[revision] = self._opened(revision)
        return self._workspaces[revision]

    def _opened(self, revision: str) -> Workspace | None:
        # Two plain files are compared without it, and without the readers of cars and readings that it brings.
        from rulewatch.workspace import RULESETS, Workspace

        tree: Tree | Fault = FolderTree(self.root)
        if revision:
            # git is not even imported for a workspace as it is now.
            from rulewatch.store.revision import open_revision

            tree = self._open.enter_context(open_revision(self.root, revision))
        if isinstance(tree, Fault):
            self._faults.append(tree)
            return None
        if not tree.files(RULESETS):
            above = next((str(folder) for folder in self.root.resolve().parents if (folder / RULESETS).is_dir()), "")
            remedy = "go to one, name one with -C DIR, or make one with `rulewatch start DIR`"
            remedy = f"there is one above: go to {above}, or say -C {above}" if above else remedy
            at = Place(path=str(self.root))
            self._faults.append(
                Fault(code="not-a-workspace", place=at, found=f"no folder `{RULESETS}` with files in it", remedy=remedy)
            )
            return None
        return Workspace(tree)

    def edition(self, point: Point) -> Edition | None:
        """The book at a point of the workspace, of its history, or of a plain file; None, with a fault, where there is none."""
        if not point.file:
            workspace = self.workspace(point.revision)
            return workspace.edition(point) if workspace is not None else None
        source = read_file(Path(point.file), point.file)
        if isinstance(source, Fault):
            self._faults.append(source)
            return None
        edition, faults = plain_edition(source, point.file)
        self._faults += faults
        return edition

    def settled(self, old: Edition, new: Edition) -> tuple[SettledPair, ...]:
        """The pairs that a person settled between an edition and the one before it, as the newer one's workspace has them."""
        workspace = None if new.point.file else self.workspace(new.point.revision)
        if workspace is None or old.header.body != new.header.body or new.header.previous != old.header.season:
            return ()
        return workspace.settled(new.header.body, new.header.season)
