"""`pullwatch sign` and `pullwatch verify`: somebody stands for a job; is it still what it was?"""

from dataclasses import asdict
from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console
from rich.text import Text

from analysis.archive.sign_off import Basis, Verification
from analysis.archive.sign_off import sign as sign_job
from analysis.archive.sign_off import verify as verify_job
from analysis.judging.limits_file import default_limits, load_limits
from analysis.publish.wording.display import local_minute
from capture.commands.as_json import AsJson, print_document, print_json
from capture.commands.stored_jobs import chosen_job, store_of
from capture.station.station import Station, load_station
from decode.channel_map import load_map

StationFile = Annotated[Path, typer.Argument(help="station file: its store, map and limits")]
JobId = Annotated[int | None, typer.Argument(help="job; without it the one pulls fall into now")]


def basis_of(station: Station) -> Basis:
    """Map, limits and version that the station judges by. Raises InputFileError."""
    limits = load_limits(station.limits) if station.limits else default_limits()
    return Basis(load_map(station.map).text, limits)


def sign(
    station_file: StationFile,
    name: Annotated[str, typer.Option(help="who stands for it")],
    job: JobId = None,
    remarks: Annotated[str, typer.Option(help="what to say with it")] = "",
    as_json: AsJson = False,
) -> None:
    """Sign a job as it is: pulls, findings, map, limits and version, frozen by their hash."""
    station = load_station(station_file)
    with store_of(station) as store:
        signed = sign_job(store, chosen_job(store, job), name, remarks, basis_of(station))
    signature = signed.signatures[-1]
    if as_json:
        print_document({"job": signed.id, **asdict(signature)})
        return
    text = f"{signature.name} signed {signed.name}; content {signature.content_sha256}"
    Console(soft_wrap=True).print(text, markup=False, highlight=False)


def verify(station_file: StationFile, job: JobId = None, as_json: AsJson = False) -> None:
    """Say of every signature whether what was signed is unchanged; exit code 1 where it is not."""
    station = load_station(station_file)
    with store_of(station) as store:
        job_id = chosen_job(store, job)
        found = verify_job(store, job_id, basis_of(station))
    if as_json:
        print_json(Verification, found)
    else:
        console = Console(soft_wrap=True)
        if not found:
            console.print(f"Job {job_id} is not signed.", markup=False)
        for verification in found:
            console.print(_verification_text(verification))
    if not found or not found[-1].unchanged:
        raise typer.Exit(1)


def _verification_text(verification: Verification) -> Text:
    signature = verification.signature
    day = local_minute(signature.signed)
    head = f"{day} {signature.name}" + (f": {signature.remarks}" if signature.remarks else "")
    if verification.unchanged:
        return Text(f"○ {head}\n  unchanged since", style="blue")
    lines = [f"▲ {head}", *(f"  {change}" for change in verification.changes)]
    return Text("\n".join(lines), style="black on yellow")
