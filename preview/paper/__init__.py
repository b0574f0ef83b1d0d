"""What the customer and the layer get on paper."""
