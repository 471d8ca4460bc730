"""The command line: thin commands over the services; nothing heavy is imported until it is used."""

from stockroom.cli.advising import register as advising
from stockroom.cli.app import app
from stockroom.cli.buying import register as buying
from stockroom.cli.calibrating import register as calibrating
from stockroom.cli.catalogue import register as catalogue
from stockroom.cli.counter import register as counter
from stockroom.cli.keeping import register as keeping
from stockroom.cli.learning import register as learning
from stockroom.cli.morning import register as morning
from stockroom.cli.numbering import register as numbering
from stockroom.cli.ordering import register as ordering
from stockroom.cli.picturing import register as picturing
from stockroom.cli.printing import register as printing
from stockroom.cli.rack import register as rack
from stockroom.cli.record import register as record
from stockroom.cli.replaying import register as replaying
from stockroom.cli.saw import register as saw
from stockroom.cli.shop import register as shop
from stockroom.cli.sourcing import register as sourcing
from stockroom.cli.ticketing import register as ticketing

__all__ = ["app"]

for register in (
    morning,
    saw,
    printing,
    buying,
    numbering,
    ordering,
    learning,
    replaying,
    sourcing,
    calibrating,
    counter,
    ticketing,
    rack,
    picturing,
    advising,
    record,
    keeping,
    catalogue,
    shop,
):
    register(app)
