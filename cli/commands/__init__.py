"""The commands, one thin function each, in modules of their names; `mending` plans spoiled mats again."""
