"""`pullwatch map import` and `pullwatch map propose`: a channel map from what others wrote.

What a channel means is proposed from its name and unit. A sure proposal is taken and shown, a
doubtful one asked about (--ask) or left in the map as a comment: never taken silently.
"""

from collections.abc import Mapping
from dataclasses import asdict, replace
from pathlib import Path
from typing import Annotated, Final

import numpy as np
import typer
from rich.console import Console
from rich.table import Table

from capture.commands.as_json import AsJson, print_document
from capture.commands.new_files import write_new
from capture.commands.warnings import print_table_notes
from capture.recording.any_recording import open_recording
from capture.sources.tables.table import TableRecording
from decode.channel_map import parse_map
from decode.errors import PullwatchError
from decode.map_draft import MapDraft
from decode.map_entries import STOICHIOMETRIC
from decode.naming import Proposal, Seen, best_of, propose, unit_spelling
from decode.network_files import draft_of, read_network
from decode.quantities import HOUSE_UNIT, MIXTURES, MOST_CYLINDERS, Quantity
from decode.table_map import TableColumn, table_draft, table_proposals
from decode.units import AIR_FUEL_RATIO, SPELLINGS, allowed_units
from decode.yaml_file import with_suggestion

SKIPPED_SHOWN: Final = 20  # reasons on the screen; the map holds all of them
NO: Final = "no"

MapOption = Annotated[
    Path | None, typer.Option("-o", "--output", help="the map; never overwritten")
]
AskOption = Annotated[bool, typer.Option("--ask", help="ask where a proposal is doubtful")]


def import_description(
    file: Annotated[Path, typer.Argument(help="a network description: DBC, KCD, ARXML, SYM")],
    source: Annotated[str, typer.Option(help="the station's name for the bus it describes")],
    output: MapOption = None,
    ask: AskOption = False,
    as_json: AsJson = False,
) -> None:
    """Turn a CAN network description into a channel map; tell what was left out and why."""
    _one_of(ask, as_json)
    target = _new_file(file, output)
    network = read_network(file, source)
    units = {name: str(entry.get("unit", "")) for name, entry in network.entries.items()}
    proposals = best_of({name: propose(s, units[name]) for name, s in network.signals.items()})
    _finish(draft_of(network, file.name), proposals, target, ask, as_json)


def propose_for_table(
    file: Annotated[Path, typer.Argument(help="a table: CSV, Parquet or MDF4")],
    output: MapOption = None,
    ask: AskOption = False,
    as_json: AsJson = False,
) -> None:
    """Write a channel map for a table, with what each column may mean."""
    _one_of(ask, as_json)
    target = _new_file(file, output)
    with Console(stderr=True).status(f"reading {file.name}"):
        columns = table_columns(file)
    draft = table_draft(columns, "table", file.name)
    _finish(draft, table_proposals(columns, list(draft.entries)), target, ask, as_json)


def _one_of(ask: bool, as_json: bool) -> None:
    if ask and as_json:
        raise typer.BadParameter("questions would stand in the document", param_hint="--ask --json")


def table_columns(file: Path) -> list[TableColumn]:
    """The columns of a table that hold numbers, with units and the range of their values."""
    recording = open_recording(file)
    if not isinstance(recording, TableRecording):
        raise PullwatchError(f"{file} is no table; its map comes from a network description")
    print_table_notes(recording)
    (source,) = recording.session.sources
    low = np.full(len(source.columns), np.inf)
    high = np.full(len(source.columns), -np.inf)
    for batch in recording.batches():
        value = np.ascontiguousarray(batch.data).view("<f8")
        np.minimum.at(low, batch.address, value)
        np.maximum.at(high, batch.address, value)
    return [
        TableColumn(header, recording.units[i], Seen(float(low[i]), float(high[i])))
        for i, header in enumerate(source.columns)
        if header and low[i] <= high[i]
    ]


def _new_file(file: Path, output: Path | None) -> Path:
    target = output or Path(f"{file.name.split('.')[0]}_map.yaml")
    if target.exists():
        raise PullwatchError(f"{target} is there already and is left as it is; name another: -o")
    return target


def _finish(
    draft: MapDraft, proposals: Mapping[str, Proposal], target: Path, ask: bool, as_json: bool
) -> None:
    """Ask, show, write."""
    console = Console(quiet=as_json)
    decided = _asked(draft, proposals) if ask else dict(proposals)
    meant = draft.meaning(decided)
    text = meant.text()
    parse_map(text, str(target))  # what is written can be read
    _show(console, decided)
    for reason in draft.skipped[:SKIPPED_SHOWN]:
        console.print(f"not taken: {reason}", style="yellow", markup=False)
    if len(draft.skipped) > SKIPPED_SHOWN:
        console.print(f"... and {len(draft.skipped) - SKIPPED_SHOWN} more, named in the map")
    write_new(target, text)
    if as_json:
        _print_document(meant, decided, target)
    taken = len(decided) - len(meant.doubts)
    console.print(
        f"{target}: {len(draft.entries)} channels, {taken} with a quantity, "
        f"{len(meant.doubts)} to decide, {len(draft.skipped)} signals not taken.",
        soft_wrap=True,
    )


def _print_document(meant: MapDraft, proposals: Mapping[str, Proposal], target: Path) -> None:
    print_document(
        {
            "map": target,
            "channels": sorted(meant.entries),
            "proposals": [
                {"channel": name, "taken": p.sure and bool(p.unit), **asdict(p)}
                for name, p in proposals.items()
            ],
            "not_taken": list(meant.skipped),
        }
    )


def _show(console: Console, proposals: Mapping[str, Proposal]) -> None:
    table = Table(show_edge=False)
    for heading in ("channel", "quantity", "unit", "confidence", "because", ""):
        table.add_column(heading, overflow="fold")  # a name cut short is none
    for name, p in sorted(proposals.items(), key=lambda item: -item[1].confidence):
        cylinder = f", cylinder {p.cylinder}" if p.cylinder is not None else ""
        outcome = "taken" if p.sure and p.unit else "[yellow]decide[/yellow]"
        quantity = f"{p.quantity}{cylinder}"
        table.add_row(name, quantity, p.unit, f"{p.confidence:.2f}", p.why, outcome)
    console.print(table)


def _asked(draft: MapDraft, proposals: Mapping[str, Proposal]) -> dict[str, Proposal]:
    """The proposals with what the user says to the doubtful ones."""
    decided: dict[str, Proposal] = {}
    for name, proposal in proposals.items():
        answer = proposal if proposal.sure and proposal.unit else _ask(draft, name, proposal)
        if answer is not None:
            decided[name] = answer
    return decided


def _ask(draft: MapDraft, name: str, proposal: Proposal) -> Proposal | None:
    said = typer.prompt(
        f"{name} [{draft.entries[name].get('unit', 'no unit')}] may be {proposal.quantity} "
        f"({proposal.confidence:.2f}: {proposal.why}). yes, no, or another quantity",
        default=NO,
    ).strip()
    if said.lower() in ("n", NO):
        return None
    if said.lower() not in ("y", "yes"):
        if said not in set(Quantity):
            typer.echo(f'"{said}" is no quantity; {with_suggestion(said, list(Quantity))}')
            return _ask(draft, name, proposal)
        proposal = replace(proposal, quantity=Quantity(said), cylinder=None)
    unit = _unit_for(proposal)
    return replace(
        proposal,
        unit=unit,
        cylinder=_cylinder(proposal),
        confidence=1.0,
        why="you said so",
        stoichiometric=_stoichiometric() if unit == AIR_FUEL_RATIO else None,
    )


def _unit_for(proposal: Proposal) -> str:
    house = HOUSE_UNIT[proposal.quantity]
    unit, ratio = proposal.unit, (AIR_FUEL_RATIO,) if proposal.quantity in MIXTURES else ()
    while unit not in (*SPELLINGS[house], *ratio) or (not unit and house != "1"):
        allowed = ", ".join((*allowed_units(house), *ratio))
        said = typer.prompt(f"in which unit? {allowed}", default=house)
        unit = unit_spelling(said) or said
    return unit


def _stoichiometric() -> float:
    """Asked, never guessed: a gauge reckons with the ratio it is set to, whatever the fuel is."""
    said: float = typer.prompt(
        "which air-fuel ratio does its logger call lambda 1? most are set to 14.7, whatever the "
        "fuel (E10 14.1, E85 9.8, diesel 14.5)",
        default=14.7,
        type=float,
    )
    low, high = STOICHIOMETRIC
    if low <= said <= high:
        return said
    typer.echo(f"no fuel has {said}; {low} to {high}")
    return _stoichiometric()


def _cylinder(proposal: Proposal) -> int | None:
    if proposal.cylinder is None:
        return None
    said: int = typer.prompt("of which cylinder? 0: of none", default=proposal.cylinder, type=int)
    return said if 1 <= said <= MOST_CYLINDERS else None
