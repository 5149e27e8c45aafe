"""From symptoms to ranked causes, with the evidence for and against."""
