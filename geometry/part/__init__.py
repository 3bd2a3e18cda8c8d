"""Part: stock, kerf, relief and fits."""

from .stock import Process, Stock

__all__ = ["Process", "Stock"]
