"""The control photograph: the card alone, photographed each shift, held against what it looked like at first."""
