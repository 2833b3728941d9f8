"""What several lessons share: the shop and its neck, wood colours, end view, standing of numbers,
listening."""
