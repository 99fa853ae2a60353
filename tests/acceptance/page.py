"""Reading a printed page: the value that stands behind a label."""


def value_of(page: str, label: str) -> str:
    """What stands at the right edge of the line that begins with a label, its dots taken off."""
    found = [line for line in page.splitlines() if line.strip().startswith(f"{label} ")]
    assert found, f"no line begins with {label!r}"
    rest = found[0].strip().removeprefix(label)
    return rest.lstrip(" .") if ". ." in rest or rest.startswith(" . ") else rest.strip()


def one_line(page: str) -> str:
    """The page as one line, so that a sentence is found wherever it was broken."""
    return " ".join(page.split())
