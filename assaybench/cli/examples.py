"""An example of every command, shown at the end of its help; each runs in a checkout as it stands.

Numbers of logs are those of `demo/logbook`.
"""

from collections.abc import Mapping
from types import MappingProxyType

EXAMPLES: Mapping[str, str] = MappingProxyType(
    {
        "weigh": "0.31mg --readability 0.01mg --charge 30g",
        "grade": """\
--sample 30.00g --silver-added 8.000mg \\
    --bead 9.398mg --gold 1.204mg --readability 0.001mg""",
        "metallics": """\
--plus-mass 24.6g --plus-metal 3.812mg \\
    --minus-mass 975.4g --minus 30.00g:0.063mg --minus 30.00g:0.069mg""",
        "compare": "'3.2 ± 0.4 g/t' --cutoff '3 g/t'",
        "recovery": """\
--size '+1mm=186.4mg:2.1mg' \\
    --size '-1mm=58.3mg:49.0mg'""",
        "sampling": "--count 4 --count-other 7",
        "value": """\
--metal '412.0 ± 0.3 g' --price '80 USD/g' \\
    --price-source 'invented, 9 June' --payable 98%""",
        "heaps": "demo/circuit/heap-a.toml demo/circuit/heap-b.toml",
        "results": "demo/furnace-run.toml --sample PK-103 --sum",
        "convert": "1.5 ozt/short_ton g/t",
        "sieves": "250um 106um",
        "open": 'run --by KB --title "Run of 9 June"',
        "enter": """\
8 reading what=zero text=0.000 unit=mg balance=fine \\
    --by MQ""",
        "correct": '8 15 text=30.10 --reason "digits swapped" --by MQ',
        "leave-out": '8 PK-201 --reason "bead lost a chip" --by MQ',
        "void": '8 --reason "tray dropped" --by MQ',
        "show": "8",
        "logbook": "--state sealed --since 2026-04-01",
        "seal": "8 --review",
        "countersign": """\
4 --text "Both weighings were read over" --by OF \\
    --name "O. Farrow" --role furnace""",
        "reissue": '4 --reason "moisture of PK-103 was typed wrong" --by MQ',
        "signers": 'new --by KB --name "K. Berg"',
        "verify": "demo/logbook",
        "report": "4 --text --issued 2026-06-09",
        "export": "--bundle 5 --out client",
        "settings": "aim='1 %'",
        "selftest": "--plain",
        "import": "demo/gravity-test.toml --by KB",
        "demo": "--print",
    }
)
"""What stands behind `assaybench COMMAND`, by command."""


def example(command: str) -> str:
    """The end of the help of a command; empty for a command without an example."""
    typed = EXAMPLES.get(command)
    return f"\b\nExample:\n  assaybench {command} {typed}" if typed else ""
