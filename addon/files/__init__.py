"""Files: cut files written, read back and measured."""

from ..rooms import room
from .operators import FLATWRIGHT_OT_save_cut_files
from .panel import FLATWRIGHT_PT_files

register, unregister = room((FLATWRIGHT_OT_save_cut_files, FLATWRIGHT_PT_files))
