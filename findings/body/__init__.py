"""Body geometry: views, picking, areas, positions and the chart drawing. Pure Python."""
