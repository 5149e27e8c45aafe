from decode.channel_map import parse_map
from decode.map_draft import MapDraft
from decode.naming import Seen
from decode.quantities import Quantity
from decode.table_map import TableColumn, table_draft, table_proposals

COLUMNS = (
    TableColumn("Motordrehzahl [U/min]", "U/min", Seen(900.0, 6500.0)),
    TableColumn("Ladedruck [mbar]", "mbar", Seen(980.0, 2300.0)),
    TableColumn("Lambda", "", Seen(0.8, 1.1)),
    TableColumn("Lambda (2)", "", Seen(0.8, 1.1)),
    TableColumn("über\u2028all", "", Seen(0.0, 1.0)),
    TableColumn("°", "", Seen(0.0, 1.0)),
    TableColumn("class", "", Seen(0.0, 1.0)),
)


def drafted() -> MapDraft:
    draft = table_draft(COLUMNS, "table", "log.csv")
    return draft.meaning(table_proposals(COLUMNS, list(draft.entries)))


def test_a_tables_map_names_every_column_and_loads() -> None:
    loaded = parse_map(drafted().text())
    assert [entry.column for entry in loaded.entries.values()] == [c.header for c in COLUMNS]
    assert list(loaded.channels) == [
        *("motordrehzahl", "ladedruck", "lambda", "lambda_2", "uberall", "column", "class_2"),
    ]
    assert loaded.channels["motordrehzahl"].quantity is Quantity.ENGINE_SPEED
    assert loaded.entries["motordrehzahl"].unit == "rpm"


def test_what_is_doubtful_stands_as_a_comment() -> None:
    text = drafted().text()
    assert "  # may be boost_pressure (0.75: boost, mbar; but never below 98 kPa" in text
    loaded = parse_map(text)
    assert loaded.channels["ladedruck"].quantity is None
    assert loaded.channels["lambda"].quantity is None  # two columns may be it


def test_a_map_without_channels_loads() -> None:
    text = MapDraft("x.dbc", {}, skipped=("M.S: has 65 bits",)).text()
    assert "# not taken: M.S: has 65 bits" in text
    assert parse_map(text).channels == {}
