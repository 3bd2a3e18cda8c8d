"""Part: stock, kerf, relief and fits."""

from .kerf import Loss, compensate_kerf, kerf_losses
from .relief import relieve_corners
from .stock import Process, Stock

__all__ = ["Loss", "Process", "Stock", "compensate_kerf", "kerf_losses", "relieve_corners"]
