"""The words and signs that matter when lengths are looked for in a tutor's text.

Every token of a text gets a kind, one character, so that a sentence becomes a short string
of kinds and the grammar can be written in them. This module is the dictionary: which word
is of which kind, and which words tell a length from a count.

Imports: the standard library only.
Source: English usage in paper-craft instructions; common practice, no source.
"""

from __future__ import annotations

# Kinds --------------------------------------------------------------------------

WHOLE, DECIMAL, RATIO, TOP_HEAVY = "d", "f", "r", "R"  # 4, 4.5, 1/2, 9/2: in figures
ONE, ODD, EVEN, TEEN, TENS = "1", "o", "e", "t", "T"  # one; three 5 7 9; two 4 6 8; ten to 19; twenty
HUNDRED, THOUSAND, ZERO, POINT = "h", "k", "0", "p"
HALF, PART, PARTS, FINE_PART, FINE_PARTS = "H", "q", "Q", "z", "Z"  # half; eighth(s); sixteenth(s)
ARTICLE, WHOLE_ONE = "a", "A"  # a, an; another, the last, a full: with an inch after it
INCH, FOOT, METRIC = "n", "g", "u"
AND, OR, COMMA, TIMES, TO, PLUS_MINUS = "&", "|", ",", "x", "~", "±"
HYPHEN, EN_DASH = "-", "–"
OF, SIDE = "F", "D"  # of; wide, long, tall ...
MEASURING = "dfrR1oetTh k0pHqQzZaAngu&|,x~±-–FD".replace(" ", "")

OTHER_UNIT, LABEL, WORD, FUNCTION, SIGN, STOP, BREAK = "w", "L", "W", "P", "!", ".", "¶"
OPENING = "("

NUMBERS = frozenset("dfrR1oetThk0pHqQzZ")
IN_FIGURES = frozenset("dfrR")
IN_WORDS = NUMBERS - IN_FIGURES
UNITS = frozenset("ngu")


# Numbers in words ---------------------------------------------------------------

_ONES = "one two three four five six seven eight nine".split()
_TEENS = (
    "ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen"
).split()
_TENS = "twenty thirty forty fifty sixty seventy eighty ninety".split()

NUMBER_WORDS: dict[str, tuple[str, int]] = {
    **{word: (ONE if n == 1 else ODD if n % 2 else EVEN, n) for n, word in enumerate(_ONES, 1)},
    **{word: (TEEN, n) for n, word in enumerate(_TEENS, 10)},
    **{word: (TENS, 10 * n) for n, word in enumerate(_TENS, 2)},
    "fourty": (TENS, 40),
    "hundred": (HUNDRED, 100),
    "thousand": (THOUSAND, 1000),
    **dict.fromkeys(("zero", "nought", "naught"), (ZERO, 0)),
    "point": (POINT, 0),
}

_PARTS = {2: "half", 3: "third", 4: "quarter fourth", 5: "fifth", 6: "sixth", 8: "eighth eigth eight"}
_PARTS |= {10: "tenth", 12: "twelfth"}
PART_WORDS: dict[str, tuple[str, int]] = {
    **{
        word: (HALF if n == 2 else PART, n)
        for n, words in _PARTS.items()
        for word in words.split()
        if word != "eight"
    },
    **{f"{word}s": (PARTS, n) for n, words in _PARTS.items() for word in words.split() if n > 2},
    "halfs": (PARTS, 2),
    "halves": (PARTS, 2),
    "sixteenth": (FINE_PART, 16),
    "sixteenths": (FINE_PARTS, 16),
    "sixtyfourth": (FINE_PART, 64),
    "sixtyfourths": (FINE_PARTS, 64),
}
del PART_WORDS["eights"]

PART_FIGURES = frozenset((2, 3, 4, 5, 6, 8, 10, 12, 16, 20, 32, 64, 100))
"""What the figures of "8th", "16ths" may be."""


# Units --------------------------------------------------------------------------

UNIT_WORDS: dict[str, tuple[str, str]] = {
    word: (kind, name)
    for kind, name, words in (
        (INCH, "inch", "inch inches ins inchs inche"),
        (FOOT, "foot", "ft foot feet"),
        (METRIC, "millimeter", "mm mms millimetre millimetres millimeter millimeters"),
        (METRIC, "centimeter", "cm cms centimetre centimetres centimeter centimeters"),
        (METRIC, "meter", "m metre metres meter meters"),
        (METRIC, "yard", "yd yds yard yards"),
    )
    for word in words.split()
}
SINGULAR_UNITS = frozenset("inch millimetre millimeter centimetre centimeter metre meter yard".split())
SHORT_UNITS = frozenset("in ins ft mm cm m yd yds".split())  # may end in a full stop
INCH_FAMILY = frozenset(("inch", "foot", "yard"))
LARGE = {"inch": 40, "foot": 50, "yard": 20, "millimeter": 3000, "centimeter": 300, "meter": 20}
"""A bare size with a side above this many of the assumed unit is not in that unit."""

CALIPER_WORDS = frozenset("mil mils mill mills thou thous".split())
"""A thousandth of an inch on a packet, a millimetre in speech."""

OTHER_UNITS = frozenset(
    "lb lbs pound pounds oz ounce ounces g gr gram grams gramme grammes kg kgs kilo kilos gsm gm gms "
    "pt pts point points pica picas px pixel pixels dpi ppi lpi em ems "
    "sec secs second seconds min mins minute minutes hr hrs hour hours h day days week weeks month "
    "months year years yr yrs am pm o'clock o’clock "
    "c f degree degrees deg degs celsius fahrenheit centigrade "
    "percent pence cent cents dollar dollars pound euro euros quid usd gbp eur "
    "time times ply up sided dozen pair pairs "
    "ml l litre litres liter liters cup cups tsp tsps tbsp teaspoon teaspoons tablespoon tablespoons "
    "bond cover text index bristol tag".split()
)
"""What a number may count or measure that is not a length."""


# Words around a length ----------------------------------------------------------

SIDES = frozenset(
    "wide long tall high deep thick broad square across apart width length height depth "
    "w h l d diameter dia".split()
)
"""Which way a length lies."""
SURE_SIDES = frozenset("wide long tall high broad thick across apart".split())
"""The sides that make even a bare whole number a length."""

LABELS = frozenset(
    "step steps page pages pp p pg pgs figure figures fig figs no nos number numbers nr num table tables "
    "chapter chapters section sections part parts tier tiers lesson lessons level levels version v ver "
    "item items question questions exercise exercises row rows module session sessions week weeks "
    "day days grade year room class issue volume vol option options template templates photo photos "
    "diagram diagrams picture pictures appendix unit units stage stages handout handouts "
    "round isbn type line lines layer layers edition ed age ages phase rule note notes size sizes "
    "tel phone ext call model ref tip slide slides kit kits sku aged "
    "dot dots letter".split()
)
"""A whole number after one of these is its name: "step 3", "figure 2"."""
SOFT_LABELS = frozenset(
    "size sizes line lines photo photos "
    "template templates section sections part parts layer layers row rows letter room class unit "
    "dot dots kit kits table tables picture pictures".split()
)
"""Labels that a size may follow as well: "size 8½ x 5", "photo 4 x 6"."""

SCORING = frozenset(
    f"{stem}{end}"
    for stem, ends in {
        "scor": "e es ed ing",
        "creas": "e es ed ing",
        "fold": ",s,ed,ing",
        "mark": ",s,ed,ing",
        "measur": "e es ed ing",
        "slit": ",s,ting",
        "perforat": "e es ed ing",
        "notch": ",es,ed,ing",
        "bend": ",s,ing",
    }.items()
    for end in (ends.split(",") if "," in ends else ends.split())
) | {"bent", "rule", "ruled", "pencil"}
CUTTING = frozenset(
    "cut cuts cutting trim trims trimmed trimming slice slices sliced slicing snip snips snipped snipping "
    "crop crops cropped cropping chop chops chopped chopping shave shaves shaved".split()
)
MAKING = frozenset(
    "keep keeps keeping make makes made making resize resized leave leaves leaving left need needs want".split()
)
PUTTING = frozenset(
    "put puts putting place placing placed slip slips tuck tucks tucked drop drops dropped pop pops slide "
    "slides pack packs fit fits stick sticks insert inserts post mail seal keep keeps store include give "
    "gives hand pass join".split()
)
"""Verbs that put things in: "put 5 in the box"."""
COUNTED = CUTTING | PUTTING | frozenset(
    "make makes made making add adds take takes need needs want buy get have bring order punch glue glues "
    "collect choose pick save hold use uses using print prints".split()
)
"""Verbs that a count may follow at once: "cut 4 strips"."""
DIVIDING = frozenset(
    "divide divided dividing multiply multiplied multiplying scale scaled enlarge enlarged reduce reduced "
    "increase increased split".split()
)
VERBS = SCORING | CUTTING | MAKING | COUNTED | DIVIDING | frozenset(
    "press burnish attach roll glue glued tape share count come comes arrive wait waits repeat repeats "
    "turn turns open opens opened close stop start go see seat sit invite teach read reads".split()
)

HEDGES = frozenset(
    "about around roughly approximately approx circa ca nearly almost exactly precisely just only under "
    "over maybe perhaps say some least most a hair touch shade bit little slightly shy bare scant good "
    "then say anywhere".split()
)
"""Words between a verb or a preposition and its number."""

PLACING = frozenset("at to by it them this each every down from : strip piece card than".split())
"""What stands before a place or a size: "score at", "trim it to", "mark every"."""
MARKS = frozenset("lines marks scores creases folds".split())
SIZES = frozenset("width height depth length diameter margin overlap reveal than".split())
SIZED_NOUNS = frozenset("face shelf tab tabs landing flap back front gap base border".split())
GIVING = frozenset("take give overlap least most leave leaving leaves allow".split())
THIN_PIECES = frozenset("strips tabs pieces bands borders lengths".split())
"""What is cut so narrow that "2 ½-inch strips" can be two strips of half an inch."""
MAYBE_IN = "“in” may be inches, or just the word in."

FUNCTIONS = frozenset(
    "from on onto along across at then so to with without before after until using down up off away in "
    "into inside below above under over past beyond between by or but if when while where which that as "
    "for is are be was were each all apart exactly precisely only too also again both either here there "
    "now first next plus minus less not the a an this these those your its their our my his her it them "
    "you we they i and of toward towards through near against around about via finally again must should "
    "will can may please either neither whichever because since though although unless".split()
)
DETERMINERS = frozenset(
    "the a an this that these those your its their our my his her each every all any some it them one "
    "another both either no which what whose".split()
)
IN_PHRASES = frozenset(
    "half halves third thirds quarter quarters fourths eighths total order front place case turn turns "
    "pairs pair "
    "stock class attendance colour color colours colors line number advance common fact general "
    "particular position between sequence succession groups group teams twos threes fours rows row "
    "columns layers layer stages stage steps tiers use need mind bulk hand use black white one two three "
    "four five six seven eight nine ten twelve twenty a pencil pen ink bags boxes envelopes packs "
    "january february march april may june july august september october november december spring "
    "summer autumn winter time size shape length width full part addition and-out school church "
    "english french spanish german welsh".split()
)
"""What "in" governs when it is the small word and not the unit."""
COLOURS = frozenset(
    "red orange yellow green blue purple violet pink brown black white grey gray silver gold cream ivory "
    "navy teal turquoise copper bronze lilac kraft patterned plain coloured colored dark light pale bright "
    "pearl metallic glitter crimson burgundy maroon beige".split()
)
MATERIALS = frozenset(
    "card cardstock cardboard paper acetate vellum felt foil foam fabric ribbon plastic stock".split()
)

# What a bare size may turn out to be: a pattern of dots, a sum, people.
PATTERNS = frozenset(
    "grid grids dot dots array arrays row rows column columns matrix table tables hole holes stitch "
    "stitches spots pattern patterns layout arrangement cells block blocks seats desks "
    "squares tiles bricks stars hearts".split()
)
MONTHS = frozenset(
    "january february march april may june july august september october november december jan feb mar "
    "apr jun jul aug sep sept oct nov dec".split()
)
ABBREVIATIONS = frozenset(
    "no nos approx fig figs p pp pg e.g i.e eg ie vol ed st dr mr mrs ms vs ca c min max qty ea pt lb "
    "lbs oz ext in ins ft cm mm yd incl dim dims".split()
)
DOMAINS = "com|org|net|edu|gov|info|co|uk|io|html?|php|pdf|svg|png|jpe?g|gif|docx?|xlsx?|csv|toml|txt|zip"
