"""What a session starts with: the job and stage that pulls fall into, and the broker's address."""

from datetime import datetime

from analysis.archive.jobs import Job, Stage
from analysis.archive.store import Store
from analysis.publish.mqtt.address import BrokerAddress
from capture.station.station import BrokerSettings, JobName, Station
from decode.errors import SourceError


def open_stage(store: Store, station: Station) -> tuple[Job, Stage]:
    """The job and stage that the station file names, made where the store has none of that name.

    What was chosen on the page outlives a restart, or pulls of a changed car would fall into the
    baseline: a stage of the job that the file names, beside the one it names; where it names no
    job, a stage of a job made today.
    """
    car = station.car
    chosen = store.current_stage()
    if chosen is not None and station.job is None and _today(store.job(chosen.job_id).created):
        return store.job(chosen.job_id), chosen
    wanted = station.job or JobName(name=f"{datetime.now():%Y-%m-%d} {car.name or 'car'}")
    jobs = {job.name: job for job in store.jobs()}
    job = jobs.get(wanted.name) or store.open_job(wanted.name, car.name, car.fuel, wanted.agreed)
    stages = {stage.name: stage for stage in store.stages(job.id)}
    if chosen is not None and chosen.job_id == job.id and wanted.stage in stages:
        return job, chosen
    stage = stages.get(wanted.stage) or store.open_stage(job.id, wanted.stage, wanted.changed)
    store.set_current_stage(stage.id)
    return job, stage


def _today(moment: datetime) -> bool:
    return moment.astimezone().date() == datetime.now().date()


def broker_address(broker: BrokerSettings) -> BrokerAddress:
    """Where the broker is, with its password. Raises SourceError."""
    file = broker.password_file
    try:
        password = file.read_text("utf-8").strip() if file else None
    except OSError as error:
        raise SourceError(f"the broker's password file cannot be read: {error}") from error
    return BrokerAddress(broker.host, broker.port, broker.username, password, broker.tls)
