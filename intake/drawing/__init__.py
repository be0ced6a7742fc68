"""The scaled plan and elevations as SVG, PDF, DXF and IFC."""
