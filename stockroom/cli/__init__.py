"""The command line: thin commands over the services; nothing heavy is imported until it is used."""

from stockroom.cli import buying, catalogue, counter, morning, rack, saw, shop
from stockroom.cli.app import app

__all__ = ["app"]

for module in (shop, catalogue, rack, counter, morning, saw, buying):
    module.register(app)
