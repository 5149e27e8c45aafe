"""The small pieces of the live alerts: what is watched, how one value is judged, who has gone."""
