"""What a session starts with: the job and stage that pulls fall into, and the broker's address."""

from datetime import datetime

from analysis.jobs import Job, Stage
from analysis.publish.address import BrokerAddress
from analysis.store import Store
from capture.station import BrokerAddress as StationBroker
from capture.station import JobName, Station
from decode.errors import SourceError


def open_stage(store: Store, station: Station) -> tuple[Job, Stage]:
    """The job and stage the station file names, made where the store has none of that name."""
    car = station.car
    wanted = station.job or JobName(name=f"{datetime.now():%Y-%m-%d} {car.name or 'car'}")
    jobs = {job.name: job for job in store.jobs()}
    job = jobs.get(wanted.name) or store.open_job(wanted.name, car.name, car.fuel, wanted.agreed)
    stages = {stage.name: stage for stage in store.stages(job.id)}
    stage = stages.get(wanted.stage) or store.open_stage(job.id, wanted.stage, wanted.changed)
    store.set_current_stage(stage.id)
    return job, stage


def broker_address(broker: StationBroker) -> BrokerAddress:
    """Where the broker is, with its password. Raises SourceError."""
    file = broker.password_file
    try:
        password = file.read_text("utf-8").strip() if file else None
    except OSError as error:
        raise SourceError(f"the broker's password file cannot be read: {error}") from error
    return BrokerAddress(broker.host, broker.port, broker.username, password, broker.tls)
