"""From the measured room to exact plan geometry."""
