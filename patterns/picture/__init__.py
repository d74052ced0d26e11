"""Pictures as numbers: frames, the sheet they are painted on, canvases, places, flashing."""
