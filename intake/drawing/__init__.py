"""The scaled plan and elevations as SVG, PDF and DXF."""
