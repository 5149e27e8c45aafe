"""Starting maps, shipped as files: `starter.yaml` to fill in, `obd_standard.yaml` for any car."""
