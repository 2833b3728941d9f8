"""How willingly the instrument moves where a string ends: mobility (velocity per force) at any fret, normal to the fretboard.

Y(x) = sum over modes of i w phi(x)^2 / (w_k^2 - w^2 + i eta_k w_k w), time factor exp(+i w t). The instrument as a rigid body belongs to
the sum, with w_k = 0: it carries no loss but shifts the pitch, and leaving it out falsifies the low notes. The real part, the conductance
G, is what drains a string; it is never negative.
"""

from dataclasses import dataclass

import numpy as np

from tonewood import checks


def modal_mobility(omega, mode_omega, mode_loss, shape_a, shape_b=None):
    """Mobility between two places, s/kg (complex).

    omega: (P,) or any shape with mode arrays broadcast against it on their last axis: the modes axis is last, so give omega[..., None] where
    needed. mode_omega, mode_loss: (..., N) rad/s and loss factors; shape_a, shape_b: (..., N) mass-normalised shapes, kg^-1/2
    (shape_b None: the same place). Returns the sum over the last axis. omega may be complex.
    """
    denominator = mode_omega**2 - omega**2 + 1j * mode_loss * mode_omega * omega
    return np.sum(1j * omega * shape_a * (shape_a if shape_b is None else shape_b) / denominator, axis=-1)


@dataclass(frozen=True)
class Mobility:
    """Mobility at P places for F frequencies: value complex, s/kg, (P, F) or (D, P, F); x (P,) m; frequency (F,) Hz."""

    x: object
    frequency: object
    value: object

    @property
    def conductance(self):
        """Real part G, s/kg: what drains a string."""
        return np.real(self.value)

    @property
    def level(self):
        """20 log10 of |Y| over 1 s/kg, dB."""
        return 20 * np.log10(np.abs(self.value))

    def table(self):
        """One row per place and frequency; middle of the draws and 90 % band of G if there are draws."""
        import pandas as pd
        place, frequency = np.repeat(self.x, len(self.frequency)), np.tile(self.frequency, len(self.x))
        columns = {"x (mm)": 1e3 * place, "frequency (Hz)": frequency}
        G, size = self.conductance, np.abs(self.value)
        if G.ndim == 3:
            low, middle, high = np.percentile(G, [5, 50, 95], axis=0)
            columns |= {"conductance (s/kg)": middle.ravel(), "5 % conductance (s/kg)": low.ravel(), "95 % conductance (s/kg)": high.ravel()}
            size = np.median(size, axis=0)
        else:
            columns["conductance (s/kg)"] = G.ravel()
        columns["mobility (s/kg)"] = size.ravel()
        return pd.DataFrame(columns)


def mobility(modes, x, frequency, y=0.0):
    """Driving-point mobility of an instrument.

    modes: sound.modes.Modes; x: places (P,) from the nut, m (a fret: neck.fret(n)); frequency: (F,) Hz, above 0; y: offset from the centre line
    (m), which adds the twisting modes if they were solved. Returns Mobility. Raises ValueError for a place off the instrument or a frequency of 0.
    """
    x = np.atleast_1d(np.asarray(x, dtype=float))
    frequency = np.atleast_1d(np.asarray(checks.number("frequency", frequency, 0.0, 20e3, "Hz", open_low=True), dtype=float))
    shape, mode_frequency, loss = modes.all_at(x, y)                                 # (..., N, P), (..., N), (..., N)
    shape = np.moveaxis(shape, -1, 0)[..., None, :]                                  # (P, ..., 1, N)
    value = modal_mobility(2 * np.pi * frequency[:, None], 2 * np.pi * mode_frequency[..., None, :], loss[..., None, :], shape)
    return Mobility(x, frequency, np.moveaxis(value, 0, -2))
