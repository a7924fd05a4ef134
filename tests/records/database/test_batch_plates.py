from grader.records.database import House
from grader.records.database.batch_plates import lots, plates_of_batch
from grader.records.database.setting import LotFacts
from tests.records.database.conftest import keep


def test_a_batchs_plates_come_in_their_order_and_no_others(house: House) -> None:
    first, second = keep(house, 1), keep(house, 2)
    keep(house, 3, batch="another")
    assert first.batch_id == second.batch_id
    found = plates_of_batch(house, first.batch_id)
    assert {one.plate_id for one in found} == {first.plate_id, second.plate_id}
    assert [one.taken_at for one in found] == sorted(one.taken_at for one in found)
    assert all(one.fries == 12 and one.outcome in {"pass", "fail", "undecided"} for one in found)


def test_lots_are_told_with_their_supplier_and_batches(house: House) -> None:
    keep(house, 1)
    keep(house, 2, batch="second")
    keep(house, 3, lot=LotFacts(supplier="Other Invented", number="X-1", variety="Early Lark (invented)"))
    told = {one.number: one for one in lots(house)}
    assert (told["L-7"].supplier, told["L-7"].batches) == ("Invented Growers", 2)
    assert (told["X-1"].variety, told["X-1"].batches) == ("Early Lark (invented)", 1)
