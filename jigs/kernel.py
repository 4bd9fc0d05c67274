"""How the kernel is loaded. Imported by each package that uses it, before it does."""

import os
import sys
from importlib import import_module
from importlib.util import find_spec
from types import ModuleType
from typing import Any

# Read by the kernel when it meshes: its usual mesher is slow on faces with many holes. A mesh must
# not depend on who asked first.
os.environ.setdefault("CSF_MeshAlgo", "delabella")

DRAWING = "vtk"


class LoadedWhenUsed(ModuleType):
    """Stands for a module until something in it is asked for.

    CadQuery imports the whole of the library that draws, a sixth of the time that the kernel takes
    to load, only to see that it is there: what CadQuery draws with it asks for by other names.
    """

    def __getattr__(self, name: str) -> Any:
        """What the module itself has by that name."""
        if name.startswith("__") and name != "__all__":
            raise AttributeError(name)
        if sys.modules.get(self.__name__) is self:
            del sys.modules[self.__name__]
        module = import_module(self.__name__)
        if name == "__all__":
            return [public for public in dir(module) if not public.startswith("_")]
        return getattr(module, name)


def load_when_used(name: str) -> None:
    """Let a module that is installed, and not yet loaded, wait until it is used."""
    if name not in sys.modules and (spec := find_spec(name)) is not None:
        sys.modules[name] = LoadedWhenUsed(name)
        sys.modules[name].__spec__ = spec


if "cadquery" not in sys.modules:
    load_when_used(DRAWING)
