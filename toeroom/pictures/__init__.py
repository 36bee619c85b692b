"""Pictures for print and files: plain SVG, and the same as lines for the terminal."""
