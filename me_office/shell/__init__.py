"""What every page and endpoint shares: frame, forms, components, errors."""
