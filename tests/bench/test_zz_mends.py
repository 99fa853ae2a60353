from tests.bench.test_caught_page import *
from tests.bench.conftest import *
def test_x(desk):
    rows = [SIEVES, FEED]
    run2 = begun_test(desk, *rows[:2], *[(a, {**b, "metal": "9 kg", "mass":"8 kg"} if b["size"]=="+1.0 mm" else b) for a,b in cells()])
    print(on_page_5(run2).text())
    h=at_the_circuit(run2); print(h.text())
