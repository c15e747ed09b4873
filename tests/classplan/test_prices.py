"""Price lists: what they hold, every slip in them at once, and money that is never rounded."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from popkit.classplan.classes import ClassPlan, plan_class
from popkit.classplan.kits import Kit
from popkit.classplan.prices import (
    Pack,
    PriceError,
    PriceList,
    as_money,
    load_prices,
    price_text,
    read_prices,
    save_prices,
    show_money,
)
from popkit.classplan.shopping import shopping_list
from popkit.papers import SHEETS, STOCKS
from popkit.pieces import Piece

PRICES = Path(__file__).parents[2] / "notebooks" / "prices.toml"


def faults_of(text: str) -> list[tuple]:
    with pytest.raises(PriceError) as caught:
        read_prices(text)
    return [(fault.line, fault.key, f"{fault.what} {fault.remedy}") for fault in caught.value.faults]


def test_the_list_of_the_workshops_reads_back_as_it_was():
    prices = load_prices(PRICES)
    assert prices.currency == "£"
    assert all(pack.price is not None for pack in prices.packs)
    assert read_prices(price_text(prices)) == prices


@pytest.mark.parametrize("sides", ['["297 mm", "210 mm"]', '["210 mm", "297 mm"]', '"A4"'])
def test_a_size_is_the_same_whichever_side_is_named_first(sides):
    """A4 is 210 × 297 mm, ISO 216."""
    (pack,) = read_prices(f'[[sheet]]\nstock = "card stock"\nsheet = {sides}\npack = 25\n').packs
    stock = STOCKS["card stock"]
    assert pack.suits(stock, SHEETS["A4"])
    assert not pack.suits(stock, SHEETS["A5"])


def test_weights_are_compared_as_they_are_sold():
    """80 lb Cover is 216.3 g/m² (1 lb = 453.59237 g, 500 sheets of 20 × 26 in), sold as 216."""
    stock = replace(STOCKS["card stock"], grammage=Fraction("216.3"))
    row = '[[sheet]]\nstock = "card stock"\nsheet = "A4"\npack = 25\ngrammage = '
    for grammage, same in ((216, True), (217, False), (300, False)):
        (pack,) = read_prices(f"{row}{grammage}\n").packs
        assert pack.suits(stock, SHEETS["A4"]) == same


def test_what_a_pack_holds():
    """1 yd = 0.9144 m, international yard and pound agreement, 1959."""
    prices = read_prices(
        '[[tape]]\nname = "clear tape"\nlength = "10 yd"\nprice = 2\n'
        '[[glue]]\nname = "paste"\ncovers_cm2 = 25\n'
        '[[sheet]]\nstock = "card stock"\nsheet = ["9 in", "12 in"]\ngrammage = 300\npack = 12\n'
        "price = 3.05\n"
    )
    sheet, tape, glue = prices.packs
    assert (tape.holds, tape.price) == (9144, 2)
    assert (glue.holds, glue.price) == (2500, None)
    assert (sheet.holds, sheet.price, sheet.grammage) == (12, Fraction(305, 100), 300)
    assert read_prices(price_text(prices)) == prices


@pytest.mark.parametrize("key", ["stock", "sheet", "pack"])
def test_a_key_whose_line_cannot_be_read_is_one_fault_and_no_crash(key):
    lines = ['stock = "card stock"', 'sheet = "A4"', "pack = 25"]
    slip = [f"{key} =" if line.startswith(key) else line for line in lines]
    ((line, where, _),) = faults_of("\n".join(["[[sheet]]", *slip]))
    assert (line, where) == (2 + [one.split(" ")[0] for one in lines].index(key), f"sheet[1].{key}")


def test_every_slip_at_once_with_its_line():
    said = faults_of(
        'currncy = "£"\n'
        "[[sheet]]\n"
        'stok = "card"\n'
        'sheet = "A9"\n'
        'pack = "25"\n'
        "price = 4,50\n"
        "[tape]\n"
        'lenth = "10m"\n'
        "name = 7\n"
        "[[glue]]\n"
        "covers_cm2 = 4.5\n"
        'price = "cheap"\n'
        "[[envelope]]\n"
        'name = "C6"\n'
        "pack = 0\n"
        "price = -1\n"
    )
    assert {(line, key) for line, key, _ in said} >= {
        (1, "currncy"),
        (3, "sheet[1].stok"),
        (4, "sheet[1].sheet"),
        (5, "sheet[1].pack"),
        (6, "sheet[1].price"),
        (7, "tape"),
        (8, "tape.lenth"),
        (9, "tape.name"),
        (10, "glue[1].name"),
        (11, "glue[1].covers_cm2"),
        (12, "glue[1].price"),
        (15, "envelope[1].pack"),
        (16, "envelope[1].price"),
    }
    assert [line for line, _, _ in said] == sorted(line for line, _, _ in said)
    assert not any("stock" in key for _, key, _ in said)  # the slip for it is named, not its lack


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("sheet = 3", "Write [[sheet]]"),
        ("sheet = [3]", "its keys below it"),
        ('[[tape]]\nname = "a"\nlength = 10', "in quotes with its unit"),
        ('[[tape]]\nname = "a"\nlength = "ten m"', "no length of a roll"),
        ('[[tape]]\nname = "a"\nlength = "0 m"', "no length of a roll"),
        ('[[pad]]\nname = ""\npack = 3', "nothing here to read"),
        ('[[pad]]\nname = "a"\npack = 3\nprice = true', "no exact price"),
        ('[[pad]]\nname = "a"\npack = 3\nprice = 1e3', "no price"),
        ('[[sheet]]\nstock = "a"\npack = 3\nsheet = ["A4", "A3", "A2"]', "no pair of sides"),
        ('[[pad]]\nname = "a"\npack = 3\nthick = 2', "in quotes with its unit"),
        ('[[pad]]\nname = "a"\npack = 3\nthick = "two"', "two"),
        ('[[pad]]\nname = "a"\npack = 3\nthick = "60 mm"', "no thickness of a pad"),
        ('[[other]]\nname = "a"\npack = 3\nthick = "2 mm"', "no key here"),
        ('currency = "four pounds"', "11 characters"),
        ("currency = 4", "number without quotes"),
    ],
)
def test_each_fault_is_said(text, said):
    assert any(said in one[2] for one in faults_of(text)), faults_of(text)


def test_files(tmp_path):
    path = save_prices(load_prices(PRICES), tmp_path / "mine.toml")
    assert load_prices(path) == load_prices(PRICES)
    with pytest.raises(PriceError, match="a file of this name"):
        save_prices(PriceList(), path)
    with pytest.raises(PriceError, match="no such file"):
        load_prices(tmp_path / "none.toml")
    path.write_bytes(b'currency = "\xa3"\n')
    with pytest.raises(PriceError, match="UTF-8"):
        load_prices(path)


def test_a_currency_is_only_text():
    """Kept letter for letter; whoever prints it on a page escapes it."""
    prices = read_prices('currency = "#$<&\\\\"\n')
    assert prices.currency == "#$<&\\"
    assert show_money(Fraction(9, 2), prices.currency) == "#$<&\\4.50"


@pytest.mark.parametrize(
    ("amount", "currency", "shown"),
    [
        (Fraction(9, 2), "£", "£4.50"),
        (Fraction(4, 3), "£", "about £1.33"),
        (Fraction(0), "£", "£0.00"),
        (Fraction(1999, 100), "EUR", "19.99 EUR"),
        (Fraction(1234567), "", "1234567.00"),
        (Fraction(-5, 100), "$", "−$0.05"),
        (None, "£", "not known"),
    ],
)
def test_money_is_shown(amount, currency, shown):
    assert show_money(amount, currency) == shown


@pytest.mark.parametrize("given_", ["4.50", " 4.5 ", Decimal("4.5"), Fraction(9, 2)])
def test_money_is_exact(given_):
    assert as_money(given_) == Fraction(9, 2)
    assert as_money("0.10") * 3 == Fraction(3, 10)  # which 0.1 * 3 is not


@pytest.mark.parametrize("wrong", [4.5, "4,50", "£4.50", "4.5.0", "", None, True, "1/3", -1, 10**9, "٤"])
def test_what_is_no_money_is_refused(wrong):
    with pytest.raises(ValueError, match="Write"):
        as_money(wrong)


def test_a_pack_typed_by_the_tutor_takes_the_place_of_the_same_pack():
    prices = load_prices(PRICES)
    dearer = Pack(kind="sheet", name="card stock", holds=25, price="5.00", sheet="A4")
    more = prices.with_pack(dearer)
    assert len(more.packs) == len(prices.packs)
    assert dearer in more.packs
    new = Pack(kind="sheet", name="card stock", holds=7, price="5.00", sheet="A4")
    assert len(prices.with_pack(new).packs) == len(prices.packs) + 1


def test_a_pack_checks_itself():
    with pytest.raises(PriceError) as caught:
        Pack(kind="box", name=" ", holds=0, price=4.5)
    assert {fault.key for fault in caught.value.faults} == {"kind", "name", "holds", "price"}
    with pytest.raises(PriceError, match="A9"):
        Pack(kind="sheet", name="card", holds=1, sheet="A9")
    with pytest.raises(PriceError, match="no thickness of a pad"):
        Pack(kind="pad", name="pads", holds=1, thick="51 mm")


names = st.text(st.characters(codec="utf-8", categories=("L", "N", "P", "S")), min_size=1, max_size=20)
money = st.decimals(0, 9999, places=2)
packs = st.one_of(
    st.builds(
        Pack,
        kind=st.just("pad"),
        name=names,
        holds=st.integers(1, 9999),
        price=st.none() | money,
        thick=st.sampled_from([None, "2 mm", "1.5 mm", "1/16 in", "0.125 in"]),
    ),
    st.builds(
        Pack,
        kind=st.sampled_from(["envelope", "other"]),
        name=names,
        holds=st.integers(1, 9999),
        price=st.none() | money,
    ),
    st.builds(Pack, kind=st.just("tape"), name=names, holds=st.integers(1, 10**6), price=money),
    st.builds(Pack, kind=st.just("glue"), name=names, holds=st.integers(1, 9999).map(lambda n: n * 100)),
    st.builds(
        Pack,
        kind=st.just("sheet"),
        name=names,
        holds=st.integers(1, 500),
        price=money,
        sheet=st.sampled_from(sorted(SHEETS)),
        grammage=st.none() | st.integers(60, 400),
    ),
)


@given(st.lists(packs, max_size=6))
def test_every_list_reads_back_the_same(found):
    prices = PriceList(packs=found, currency="kr")
    again = read_prices(price_text(prices))
    assert again.currency == "kr"
    assert sorted(again.packs, key=repr) == sorted(prices.packs, key=repr)


# Two weights of one name ----------------------------------------------------------------


def two_weights() -> ClassPlan:
    """4 of 200 g/m² and 6 of 300 g/m², each a whole A6."""
    light = replace(STOCKS["card stock"], name="blue", grammage=Fraction(200), sheet=SHEETS["A6"])
    kits = [
        Kit(
            name=name,
            pieces=(Piece(name="sail", width="105 mm", length="148 mm", count=1, stock=stock),),
            count=1,
        )
        for name, stock in (("Boat", light), ("Barn", replace(light, grammage=Fraction(300))))
    ]
    return plan_class(list(zip(kits, (4, 6), strict=True)))


def test_a_pack_that_does_not_say_its_weight_is_bought_for_neither_of_two():
    row = '[[sheet]]\nstock = "blue"\nsheet = "A6"\npack = 10\nprice = 3\n'
    plan = two_weights()
    shopping = shopping_list(plan, read_prices(row))
    assert [line.packs for line in shopping.lines] == [(), ()]
    (remark,) = shopping.remarks
    assert "200 g/m² and 300 g/m²" in remark
    assert "grammage" in remark
    assert remark in shopping.summary()
    weighed = shopping_list(plan, read_prices(f"{row}grammage = 200\n{row}grammage = 300\n"))
    assert weighed.remarks == ()
    assert [[pack.grammage for pack, _ in line.packs] for line in weighed.lines] in (
        [[200], [300]],
        [[300], [200]],
    )
    assert weighed.total == 6  # one pack of each, at 3
