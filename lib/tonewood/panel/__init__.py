"""The page toolkit that knows no wood: controls, live figures, questions, gauges, text, export."""
