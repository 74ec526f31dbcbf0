"""An index over a folder of visits: searched in place of thousands of files.

The case files stay the truth. The index is made from them, can be thrown away at any time, and
heals itself: before every search the folder is looked over, and what is new, changed or gone since
(by time and size of the files) is read again or taken out. So a save needs no word to the index,
and two programs on one folder never disagree for longer than one look.

A file that cannot be read is kept with its complaint, so that nobody misses it in a list.

The index is a table in SQLite beside the cases, or in any database that SQLAlchemy reaches
(PostgreSQL for a group of shops). Free words are searched without regard to case, each anywhere
in the visit's texts.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, fields
from pathlib import Path

import sqlalchemy as sql
from sqlalchemy import exc

from vibecheck.casebook.case import Case
from vibecheck.casebook.journal import retracted_ids
from vibecheck.casebook.store import load
from vibecheck.errors import ArchiveError, CaseError

INDEX_NAME = ".visits.sqlite"
SCHEMA = 1  # raise it when the columns change: an index of another shape is made anew
MOST_FOUND = 200
_BATCH = 500
_TRIES = 3
_LONGEST_WORDS = 20_000  # characters of a visit that can be searched
_LIKE_ESCAPE = "\\"
_SQLITE = b"SQLite format 3\0"  # how every file of SQLite begins

_meta = sql.MetaData()
_visits = sql.Table(
    f"vibecheck_visits_{SCHEMA}", _meta,
    sql.Column("path", sql.Text, primary_key=True),
    sql.Column("folder", sql.Text, nullable=False, index=True),
    sql.Column("stamp", sql.Text, nullable=False),
    sql.Column("id", sql.Text, nullable=False, default=""),
    sql.Column("title", sql.Text, nullable=False, default=""),
    sql.Column("place", sql.Text, nullable=False, default=""),
    sql.Column("customer", sql.Text, nullable=False, default=""),
    sql.Column("phone", sql.Text, nullable=False, default=""),
    sql.Column("plate", sql.Text, nullable=False, default=""),
    sql.Column("vin", sql.Text, nullable=False, default=""),
    sql.Column("begun", sql.Text, nullable=False, default="", index=True),
    sql.Column("newest", sql.Text, nullable=False, default="", index=True),
    sql.Column("fault", sql.Text, nullable=False, default=""),
    sql.Column("remedy", sql.Text, nullable=False, default=""),
    sql.Column("outcome", sql.Text, nullable=False, default=""),
    sql.Column("follows", sql.Text, nullable=False, default=""),
    sql.Column("archived", sql.Boolean, nullable=False, default=False),
    sql.Column("invented", sql.Boolean, nullable=False, default=False),
    sql.Column("complaint", sql.Text, nullable=False, default=""),
    sql.Column("words", sql.Text, nullable=False, default=""),
)  # fmt: skip


@dataclass(frozen=True)
class Visit:
    """One visit as the index knows it; `complaint` is why its file cannot be read, or ""."""

    path: str
    id: str
    title: str
    place: str
    customer: str
    phone: str
    plate: str
    vin: str
    begun: str
    newest: str
    fault: str
    remedy: str
    outcome: str
    follows: str
    archived: bool
    invented: bool
    complaint: str


@dataclass(frozen=True)
class Search:
    """What to look for; empty fields look for nothing in particular.

    Texts match anywhere in their field and without regard to case; plate and VIN also without
    regard to spaces and dashes. `since` and `until` are days ("2026-03-02"), both included, of the
    newest entry. `words` must all appear somewhere in the visit.
    """

    words: str = ""
    title: str = ""
    customer: str = ""
    plate: str = ""
    vin: str = ""
    fault: str = ""
    remedy: str = ""
    outcome: str = ""
    since: str = ""
    until: str = ""
    archived: bool = False


@dataclass(frozen=True)
class Refreshed:
    """What a look over the folder changed: files read anew, and files gone."""

    read: int
    gone: int


class Archive:
    """The index of one or more folders in one database. Close it when done."""

    def __init__(self, url: str) -> None:
        """Open the index at a database URL; its table is made where it is missing.

        Raises
        ------
        ArchiveError : the database cannot be reached, or the URL names none.
        """
        self._shown = _without_password(url)
        try:
            self._engine = sql.create_engine(url)
            if self._engine.dialect.name == "sqlite":
                sql.event.listen(self._engine, "connect", _patient)
            with self._asked():
                _make_table(self._engine)
        except (exc.ArgumentError, exc.NoSuchModuleError, ImportError) as error:
            raise ArchiveError(
                f"this is no database that can be used ({_first_line(error)})", self._shown,
                "write for example postgresql+psycopg://user@host/name",
            ) from None

    @classmethod
    def beside(cls, folder: Path) -> Archive:
        """The index of a folder in SQLite, in a hidden file within it.

        A file that is no index is thrown away and made anew; an index holds nothing that the
        cases do not.
        """
        file = folder / INDEX_NAME
        if not _may_be_index(file):
            file.unlink(missing_ok=True)
        return cls(f"sqlite:///{file}")

    def close(self) -> None:
        """Let go of the database."""
        self._engine.dispose()

    def __enter__(self) -> Archive:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def refresh(self, folder: Path) -> Refreshed:
        """Look a folder over, and bring what changed in it into the index.

        Raises
        ------
        ArchiveError : the folder or the database cannot be used.
        """
        there = dict(_stamps(folder))
        key = str(folder.resolve())
        with self._asked(), self._engine.begin() as link:
            rows = link.execute(
                sql.select(_visits.c.path, _visits.c.stamp).where(_visits.c.folder == key)
            )
            known: dict[str, str] = {row.path: row.stamp for row in rows}
        changed = [path for path, stamp in there.items() if known.get(path) != stamp]
        gone = [path for path in known if path not in there]
        for part in _parts(gone):
            with self._asked(), self._engine.begin() as link:
                link.execute(sql.delete(_visits).where(_visits.c.path.in_(part)))
        for part in _parts(changed):
            rows_new = [_row(path, key, there[path]) for path in part]
            with self._asked(), self._engine.begin() as link:
                link.execute(sql.delete(_visits).where(_visits.c.path.in_(part)))
                link.execute(sql.insert(_visits), rows_new)
        return Refreshed(len(changed), len(gone))

    def search(
        self, wanted: Search, folder: Path | None = None, most: int = MOST_FOUND
    ) -> tuple[Visit, ...]:
        """The visits that match, newest first.

        Parameters
        ----------
        wanted : what to look for.
        folder : only visits of this folder; None looks through all that the index holds.
        most : how many to give at the most.
        """
        asked = sql.select(*(_visits.c[each.name] for each in fields(Visit)))
        for condition in _conditions(wanted):
            asked = asked.where(condition)
        if folder is not None:
            asked = asked.where(_visits.c.folder == str(folder.resolve()))
        asked = asked.order_by(_visits.c.newest.desc(), _visits.c.path).limit(most)
        with self._asked(), self._engine.connect() as link:
            return tuple(Visit(**row._mapping) for row in link.execute(asked))

    def count(self, folder: Path | None = None) -> int:
        """How many visits the index holds, or holds of one folder."""
        asked = sql.select(sql.func.count()).select_from(_visits)
        if folder is not None:
            asked = asked.where(_visits.c.folder == str(folder.resolve()))
        with self._asked(), self._engine.connect() as link:
            return int(link.execute(asked).scalar_one())

    def _asked(self) -> _Asked:
        return _Asked(self._shown)


class _Asked:
    """Turns a database's complaint into one sentence of ours."""

    def __init__(self, shown: str) -> None:
        self._shown = shown

    def __enter__(self) -> None:
        return None

    def __exit__(self, kind: object, error: BaseException | None, trace: object) -> None:
        if isinstance(error, exc.SQLAlchemyError):
            raise ArchiveError(
                f"the index of visits cannot be used ({_first_line(error)})", self._shown,
                "check the database, or leave it out to search beside the cases",
            ) from None


def texts_of(case: Case) -> Iterator[str]:
    """Everything in a case that a person may search for."""
    yield from (case.title, case.story, case.id)
    if case.customer is not None:
        yield from (case.customer.name, case.customer.phone, case.customer.plate,
                    case.customer.vin, case.customer.odometer)  # fmt: skip
    if case.wheels is not None:
        yield from (*case.wheels.names, case.wheels.by, case.wheels.gauge)
    yield from case.facts.values()
    taken_back = retracted_ids(case)
    for entry in case.in_order:
        if entry.id not in taken_back:
            yield from (entry.text, entry.finding, entry.value, entry.remedy)
    if case.outcome is not None:
        yield from (case.outcome.cause, case.outcome.remedy, case.outcome.confirmed)


def _row(path: str, folder: str, stamp: str) -> dict[str, object]:
    blank: dict[str, object] = {
        column.name: False if isinstance(column.type, sql.Boolean) else ""
        for column in _visits.columns
    }
    blank.update(path=path, folder=folder, stamp=stamp)
    try:
        case = load(Path(path)).case
    except CaseError as error:
        return {**blank, "title": Path(path).name, "complaint": str(error),
                "words": Path(path).name.lower()}  # fmt: skip
    times = [entry.at for entry in case.in_order]
    about = case.customer
    ended = case.outcome
    return {
        **blank,
        "id": case.id, "title": case.title, "place": case.place,
        "customer": about.name if about else "", "phone": about.phone if about else "",
        "plate": about.plate if about else "", "vin": about.vin if about else "",
        "begun": times[0] if times else "", "newest": times[-1] if times else "",
        "fault": ended.cause if ended else "", "remedy": ended.remedy if ended else "",
        "outcome": ended.confirmed if ended else "", "follows": case.follows,
        "archived": case.archived, "invented": case.invented,
        "words": "\n".join(filter(None, texts_of(case))).lower()[:_LONGEST_WORDS],
    }  # fmt: skip


def _stamps(folder: Path) -> Iterator[tuple[str, str]]:
    """The case files of a folder with the time and size by which a change is seen."""
    try:
        with os.scandir(folder.resolve()) as entries:
            for entry in entries:
                if entry.name.startswith(".") or not entry.name.endswith(".yaml"):
                    continue
                try:
                    found = entry.stat()
                except OSError:
                    continue
                yield entry.path, f"{found.st_mtime_ns}-{found.st_size}-{found.st_ino}"
    except OSError as error:
        raise ArchiveError(
            f"the folder of visits cannot be read ({error.strerror})", str(folder),
            "name a folder that is there",
        ) from None


def _conditions(wanted: Search) -> Iterator[sql.ColumnElement[bool]]:
    if not wanted.archived:
        yield _visits.c.archived.is_(False)
    for word in wanted.words.lower().split():
        yield _visits.c.words.like(_anywhere(word), escape=_LIKE_ESCAPE)
    for name in ("title", "customer", "fault", "remedy", "outcome"):
        if text := " ".join(getattr(wanted, name).split()):
            column = sql.func.lower(_visits.c[name])
            yield column.like(_anywhere(text.lower()), escape=_LIKE_ESCAPE)
    for name in ("plate", "vin"):
        if text := _bare(getattr(wanted, name)):
            column = sql.func.lower(_visits.c[name])
            for mark in " -":
                column = sql.func.replace(column, mark, "")
            yield column.like(_anywhere(text), escape=_LIKE_ESCAPE)
    if wanted.since:
        yield _visits.c.newest >= wanted.since
    if wanted.until:
        yield _visits.c.newest <= f"{wanted.until}~"  # "~" sorts after every time of that day


def _anywhere(text: str) -> str:
    for mark in (_LIKE_ESCAPE, "%", "_"):
        text = text.replace(mark, _LIKE_ESCAPE + mark)
    return f"%{text}%"


def _bare(text: str) -> str:
    return "".join(text.lower().replace("-", " ").split())


def _parts(paths: Sequence[str]) -> Iterable[Sequence[str]]:
    return (paths[at : at + _BATCH] for at in range(0, len(paths), _BATCH))


def _may_be_index(file: Path) -> bool:
    """False for a file that SQLite did not write; an empty one is about to become an index."""
    try:
        with file.open("rb") as stream:
            return stream.read(len(_SQLITE)) in (b"", _SQLITE)
    except OSError:
        return True


def _make_table(engine: sql.Engine) -> None:
    """Make the table where it is missing; several programs may do so at the same moment."""
    for _ in range(_TRIES):
        try:
            return _meta.create_all(engine)
        except (exc.OperationalError, exc.ProgrammingError):  # it looks again what is there
            pass
    return _meta.create_all(engine)


def _patient(link: object, _: object) -> None:
    """Several programs may look at once: wait for each other."""
    cursor = link.cursor()  # type: ignore[attr-defined]
    cursor.execute("PRAGMA busy_timeout = 10000")
    cursor.execute("PRAGMA synchronous = NORMAL")
    cursor.close()


def _first_line(error: BaseException) -> str:
    return " ".join(str(error).splitlines()[0].split())[:160]


def _without_password(url: str) -> str:
    try:
        return sql.engine.make_url(url).render_as_string(hide_password=True)
    except exc.ArgumentError:
        return url[:60]
