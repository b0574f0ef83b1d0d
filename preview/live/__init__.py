"""A scene served to a browser on this machine: every choice a control, the picture drawn anew at each."""
