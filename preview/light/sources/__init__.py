"""Where light comes from: sky, sun, lamps; and the glass it passes."""
