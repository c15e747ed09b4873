"""What to buy for a class, what it costs, and what is left over.

Sheets are counted from the plan, tape by the length and glue by the area of what is stuck,
envelopes and the rest by the bag. Packs are rounded up. Money is exact; a price that is not
known is named, never taken for nothing.

Imports: lengths, language, papers, classplan.classes, classplan.kits, classplan.prices,
classplan.naming.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from fractions import Fraction
from math import ceil, floor, lcm

from popkit.classplan.board import common_measure
from popkit.classplan.classes import ClassPlan
from popkit.classplan.kits import Joint, joints_of, pad_name, pads_of
from popkit.classplan.naming import anded
from popkit.classplan.prices import Pack, PriceList, show_money
from popkit.language import BRITISH, Language, as_language
from popkit.lengths import Length, mm
from popkit.papers import Envelope, Sheet, Stock

__all__ = ["Shopping", "ShoppingLine", "cheapest_packs", "shopping_list", "tape_length"]

# A strip of tape is laid along the middle of a tab; a flap deeper than this gets one along each
# long edge. common practice, no source
_ONE_STRIP_MM = Fraction(127, 5)
_PARTS = {"tape": Fraction(100), "glue": Fraction(100)}
"""What amounts are said in: tenths of a metre of tape in mm, square centimetres of glue in mm²."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ShoppingLine:
    """One thing to buy.

    kind     "sheet", "tape", "glue", "pad", "envelope" or "other"
    item     what it is
    need     how much the class takes beyond the cupboard: a count; of tape millimetres; of glue
             square millimetres
    kept     what comes out of the cupboard (sheets)
    unused   what stays in the cupboard (sheets)
    packs    (pack, how many), the cheapest that will do; none where no pack is known
    stock, sheet  of a pack of sheets
    language of its words
    """

    kind: str
    item: str
    need: Fraction
    kept: int = 0
    unused: int = 0
    packs: tuple[tuple[Pack, int], ...] = ()
    stock: Stock | None = None
    sheet: Sheet | None = None
    language: Language = BRITISH

    @property
    def cost(self) -> Fraction | None:
        """Of all the packs; None where it is not known."""
        if not self.need:
            return Fraction(0)
        if not self.packs or any(pack.price is None for pack, _ in self.packs):
            return None
        return sum((pack.price * count for pack, count in self.packs), Fraction(0))

    @property
    def bought(self) -> Fraction | None:
        """What the packs hold; None where no pack is known."""
        if not self.need:
            return Fraction(0)
        return sum((pack.holds * count for pack, count in self.packs), Fraction(0)) or None

    @property
    def left(self) -> Fraction | None:
        """What is left over of the packs; None where no pack is known."""
        return None if self.bought is None else self.bought - self.need

    @property
    def left_text(self) -> str:
        """What is left over, as `amount` says what is bought and needed: the sum on the page is right.

        "" where no pack is known.
        """
        if not self.packs:
            return ""
        part = _PARTS.get(self.kind, Fraction(1))
        bought = sum(count * (pack.holds // part) for pack, count in self.packs)
        return self.amount(max(0, bought - ceil(self.need / part)) * part)

    @property
    def used(self) -> Fraction | None:
        """What is used up, in money: its share of the cost."""
        if self.cost is None or not self.need:
            return self.cost
        return self.cost * self.need / self.bought

    def amount(self, value: Fraction | None, whole=ceil) -> str:
        """A number of this line's things: "20 sheets", "3.2 m", "410 cm²", "24"; "not known".

        whole  how tape is brought to tenths of a metre and glue to whole square centimetres
        """
        language, part = self.language, _PARTS.get(self.kind)
        if value is None:
            return language.say("not known")
        if self.kind == "tape":
            return language.say("{number} m", number=language.decimal(f"{whole(value / part) / 10:g}"))
        if self.kind == "glue":
            return f"{whole(value / part)} cm²"
        if self.kind == "sheet":
            return language.many(int(value), "{count} sheet", "{count} sheets")
        return str(value)

    @property
    def unused_text(self) -> str:
        """ "9 stay in the cupboard"; "" where nothing does."""
        if not self.unused:
            return ""
        return self.language.many(
            self.unused, "{count} stays in the cupboard", "{count} stay in the cupboard"
        )

    @property
    def packs_text(self) -> str:
        """ "1 pack of 25 sheets and 1 pack of 100 sheets"; "" where no pack is known."""
        said = [self._packs(count, self.amount(pack.holds, floor)) for pack, count in self.packs]
        return anded(said, self.language)

    def _packs(self, count: int, holds: str) -> str:
        many = self.language.many
        if self.kind == "tape":
            return many(count, "{count} roll of {holds}", "{count} rolls of {holds}", holds=holds)
        if self.kind == "glue":
            return many(count, "{count} bottle of {holds}", "{count} bottles of {holds}", holds=holds)
        return many(count, "{count} pack of {holds}", "{count} packs of {holds}", holds=holds)

    def text(self) -> str:
        """The line as one would say it, without its price."""
        say = self.language.say
        need = self.amount(self.need)
        if self.kept:
            need = say("{need}, and {kept} from the cupboard", need=need, kept=self.kept)
        elif self.unused and not self.need:
            need = say("none")
        if not self.packs:
            said = f"{self.item}: {need}."
        else:
            said = say(
                "{item}: {need} = {packs}, {left} left over.",
                item=self.item,
                need=need,
                packs=self.packs_text,
                left=self.left_text,
            )
        return f"{said} {self.unused_text}." if self.unused else said


@dataclass(frozen=True, slots=True, kw_only=True)
class Shopping:
    """Everything to buy for a class.

    lines     sheets first
    students  who share the cost; spare kits are theirs too
    currency  as the price list prints it
    language  of its words
    remarks   what the price list would have to say to be of use; in `summary` too
    """

    lines: tuple[ShoppingLine, ...]
    students: int
    currency: str = ""
    language: Language = BRITISH
    remarks: tuple[str, ...] = ()

    @property
    def unknown(self) -> tuple[str, ...]:
        """The items whose cost is not known."""
        return tuple(line.item for line in self.lines if line.cost is None)

    @property
    def known(self) -> Fraction:
        """The cost of the other items."""
        return sum((line.cost for line in self.lines if line.cost is not None), Fraction(0))

    @property
    def total(self) -> Fraction | None:
        """The cost of all; None where a part of it is not known."""
        return None if self.unknown else self.known

    @property
    def per_head(self) -> Fraction | None:
        """The total, shared; None where a part of it is not known."""
        return None if self.total is None else self.total / self.students

    @property
    def used_per_head(self) -> Fraction | None:
        """What is used up, shared, as if what is left over could be sold again at its price."""
        if self.unknown:
            return None
        return sum((line.used for line in self.lines), Fraction(0)) / self.students

    def summary(self) -> str:
        """The cost in a sentence or two, and the remarks."""
        return " ".join((self._cost(), *self.remarks))

    def _cost(self) -> str:
        say = self.language.say

        def money(amount: Fraction | None) -> str:
            return show_money(amount, self.currency, self.language)

        if self.total is not None:
            return say(
                "{total} in all, {share} a head.", total=money(self.total), share=money(self.per_head)
            )
        missing = "; ".join(self.unknown)
        if not self.known:
            return say("The prices of these are not known: {items}.", items=missing)
        return say(
            "{total} and what these cost, whose prices are not known: {items}.",
            total=money(self.known),
            items=missing,
        )


# How much ---------------------------------------------------------------------------


def tape_length(joint: Joint) -> Fraction:
    """Millimetres of tape for a joint: one strip along it, two where it is deeper than 1 in.

    A mat on plastic is a deep joint like another: a strip along its two longer edges.
    """
    return joint.width if joint.depth <= _ONE_STRIP_MM else 2 * max(joint.width, joint.depth)


def cheapest_packs(need: Fraction, packs: tuple[Pack, ...]) -> tuple[tuple[Pack, int], ...]:
    """The packs that cost least and hold enough; of those that cost the same, what leaves least.

    Where no price is known the packs that leave least over. A price that is not known is not
    weighed against one that is: then only packs with a price are bought.
    """
    priced = tuple(pack for pack in packs if pack.price is not None)
    packs = tuple(dict.fromkeys(priced or packs))
    if need <= 0 or not packs:
        return ()
    # In whole parts of which every pack holds a whole number.
    part = common_measure([pack.holds for pack in packs])
    holds = [int(pack.holds / part) for pack in packs]
    costs = [pack.price or Fraction(0) for pack in packs]
    wanted = ceil(need / part)
    # Packs of the kind that is cheapest for what it holds make up all but the last few: so many of
    # another kind as hold a whole number of those could be changed for them at no loss.
    bulk = min(range(len(packs)), key=lambda n: (costs[n] / holds[n], -holds[n]))
    spare = sum(lcm(size, holds[bulk]) for n, size in enumerate(holds) if n != bulk)
    first = max(0, (wanted - spare) // holds[bulk])
    # (cost, what they hold, how many packs, the last of them) for every amount up to what is left.
    best: list[tuple] = [(Fraction(0), 0, 0, -1)]
    for amount in range(1, wanted - first * holds[bulk] + 1):
        best.append(
            min(
                (rest[0] + costs[n], rest[1] + size, rest[2] + 1, n)
                for n, size in enumerate(holds)
                for rest in (best[max(0, amount - size)],)
            )
        )
    counts = Counter({bulk: first})
    amount = len(best) - 1
    while amount > 0:
        last = best[amount][3]
        counts[last] += 1
        amount -= holds[last]
    return tuple((pack, counts[n]) for n, pack in enumerate(packs) if counts[n])


# The list ---------------------------------------------------------------------------


def shopping_list(
    plan: ClassPlan, prices: PriceList | None = None, *, language: Language | str = BRITISH
) -> Shopping:
    """What the class takes, in packs of the price list.

    Tape and glue by the joints of each card, tape where a side is plastic; a strip of tape along
    each tab, glue on the whole of it. Envelopes and extras by the bag, spare kits too; a card whose
    box is cut with it takes none, nor does one that no envelope takes (`ClassPlan.remarks`).
    """
    prices, language = PriceList() if prices is None else prices, as_language(language)
    lines, remarks = _sheet_lines(plan, prices, language)
    stuck = {"tape": Fraction(0), "glue": Fraction(0)}
    envelopes: Counter[str] = Counter()
    others: Counter[str] = Counter()
    pads: Counter[str] = Counter()
    thick: dict[str, Length] = {}
    for kit in plan.kits:
        for joint in joints_of(kit):
            if joint.adhesive != "pad":
                size = tape_length(joint) if joint.adhesive == "tape" else joint.width * joint.depth
                stuck[joint.adhesive] += size * kit.bags
        for pad, number in pads_of(kit):
            name = pad_name(pad, language)
            pads[name] += number * kit.bags
            thick[name] = pad
        if kit.envelope is not None:
            named = kit.envelope.name if isinstance(kit.envelope, Envelope) else kit.envelope
            envelopes[named] += kit.bags
        for name, number in kit.extras:
            others[name] += number * kit.bags
    for kind, item in (
        ("tape", language.say("Double-sided tape")),
        ("glue", language.say("Paper glue")),
    ):
        if stuck[kind]:
            packs = cheapest_packs(stuck[kind], prices.of(kind))
            lines.append(
                ShoppingLine(kind=kind, item=item, need=stuck[kind], packs=packs, language=language)
            )
    for kind, counts in (("pad", pads), ("envelope", envelopes), ("other", others)):
        for name, number in counts.items():
            packs = prices.pads(thick[name]) if kind == "pad" else prices.of(kind, name)
            if kind == "other":
                packs = packs or prices.of("pad", name)
            if kind == "envelope":
                item = language.say("Envelopes, {name}", name=name)
            else:
                item = f"{name[:1].upper()}{name[1:]}"
            need = Fraction(number)
            bought = cheapest_packs(need, packs)
            lines.append(ShoppingLine(kind=kind, item=item, need=need, packs=bought, language=language))
    return Shopping(
        lines=tuple(lines),
        students=plan.students,
        currency=prices.currency,
        language=language,
        remarks=remarks,
    )


def _sheet_lines(
    plan: ClassPlan, prices: PriceList, language: Language
) -> tuple[list[ShoppingLine], tuple[str, ...]]:
    """One line for each stock and size, also where only the cupboard gives it; and the remarks.

    A pack that does not say its weight is bought for no stock of which the class takes two weights.
    """
    bought: Counter[tuple] = Counter()
    kept: Counter[tuple] = Counter()
    had: Counter[tuple] = Counter()
    names: dict[tuple, tuple[Stock | None, Sheet]] = {}

    def key(stock: Stock | None, sheet: Sheet) -> tuple:
        paper = None if stock is None else (stock.name, stock.grammage, mm(stock.caliper))
        found = (paper, mm(sheet.width), mm(sheet.height))
        names.setdefault(found, (stock, sheet))
        return found

    for one in plan.stocks:
        for sheet, stock, from_cupboard, count in one.plan.sheet_counts:
            (kept if from_cupboard else bought)[key(stock, sheet)] += count
        for sheet, count in one.kept:
            had[key(one.stock, sheet)] += count
    weights: dict[str, set[Fraction]] = {}
    for stock, _ in names.values():
        if stock is not None:
            weights.setdefault(stock.name.casefold(), set()).add(stock.grammage)
    lines, remarks = [], []
    for at, (stock, sheet) in names.items():
        weighed = stock is not None and len(weights[stock.name.casefold()]) > 1
        if stock is None:
            name = language.say("Card")
        else:
            name = f"{language.name(stock.name)}, {round(stock.grammage)} g/m²"
        packs = () if stock is None else prices.sheets(stock, sheet, weighed=weighed)
        need = Fraction(bought[at])
        if need and weighed and len(packs) < len(prices.sheets(stock, sheet)):
            those = [f"{round(one)} g/m²" for one in sorted(weights[stock.name.casefold()])]
            remarks.append(
                language.say(
                    "The class takes {stock} of {weights}; write in the price list of what grammage "
                    "its packs of {sheet} are.",
                    stock=language.name(stock.name),
                    weights=anded(those, language),
                    sheet=sheet.name,
                )
            )
        lines.append(
            ShoppingLine(
                kind="sheet",
                item=f"{name[0].upper()}{name[1:]}, {sheet.name}",
                need=need,
                kept=kept[at],
                unused=had[at] - kept[at],
                packs=cheapest_packs(need, packs),
                stock=stock,
                sheet=sheet,
                language=language,
            )
        )
    return lines, tuple(dict.fromkeys(remarks))
