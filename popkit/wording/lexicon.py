"""The words that matter when lengths are looked for in a tutor's text, and the kinds of token.

Every token of a text gets a kind, one character, so that a sentence becomes a short string of
kinds and the grammar can be written in them. This module is the dictionary: which word is of
which kind, and which words tell a length from a count.

Imports: the standard library only.
Source: English usage in paper-craft instructions; common practice, no source.
"""

from __future__ import annotations


def _words(text: str) -> frozenset[str]:
    return frozenset(text.split())


# Kinds of token -----------------------------------------------------------------

WHOLE, DECIMAL, RATIO, TOP_HEAVY = "d", "f", "r", "R"  # in figures: 4, 4.5, 1/2 or ½, 9/2
ONE, ODD, EVEN, TEEN, TENS = "1", "o", "e", "t", "T"  # in words: one, three, two, twelve, twenty
HUNDRED, THOUSAND, ZERO, POINT = "h", "k", "0", "p"
HALF, PART, PARTS, FINE_PART, FINE_PARTS = "H", "q", "Q", "z", "Z"  # eighth(s); 16ths and finer
ARTICLE, WHOLE_ONE = "a", "A"  # a, an; "another", "the last", with one unit after it
INCH, FOOT, METRIC = "n", "g", "u"
AND, OR, COMMA, TIMES, TO, PLUS_MINUS = "&", "|", ",", "x", "~", "±"
HYPHEN, EN_DASH = "-", "–"  # with no gap on either side
OF, SIDE = "F", "D"  # of; wide, long, tall ...
MEASURING = "dfrR1oetThk0pHqQzZaAngu&|,x~±-–FD"
"""The kinds that the grammar reads; any other kind ends what it reads."""

OTHER_UNIT, LABEL, WORD, FUNCTION, SIGN, STOP, OPENING, BREAK = "w", "L", "W", "P", "!", ".", "(", "¶"

SMALL = frozenset((ONE, ODD, EVEN, TEEN))
IN_FIGURES = frozenset((WHOLE, DECIMAL, RATIO, TOP_HEAVY))
ANY_PART = frozenset((HALF, PART, PARTS, FINE_PART, FINE_PARTS))
IN_WORDS = frozenset((ONE, ODD, EVEN, TEEN, TENS, HUNDRED, THOUSAND, ZERO, POINT)) | ANY_PART
NUMBERS = IN_FIGURES | IN_WORDS
UNITS = frozenset((INCH, FOOT, METRIC))


# Numbers in words ---------------------------------------------------------------

_ONE_TO_NINE = "one two three four five six seven eight nine"
_ONES = dict(enumerate(_ONE_TO_NINE.split(" "), 1))
_TEENS = "ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen"
_TENS = "twenty thirty forty fifty sixty seventy eighty ninety"
NUMBER_WORDS: dict[str, tuple[str, int]] = {
    **{word: (ONE if n == 1 else ODD if n % 2 else EVEN, n) for n, word in _ONES.items()},
    **{word: (TEEN, n) for n, word in enumerate(_TEENS.split(" "), 10)},
    **{word: (TENS, 10 * n) for n, word in enumerate(_TENS.split(" "), 2)},
    "fourty": (TENS, 40),
    "hundred": (HUNDRED, 100),
    "thousand": (THOUSAND, 1000),
    **dict.fromkeys(("zero", "nought", "naught"), (ZERO, 0)),
    "point": (POINT, 0),
}

_PARTS = {"third": 3, "quarter": 4, "fourth": 4, "fifth": 5, "sixth": 6, "eighth": 8, "eigth": 8}
_PARTS |= {"tenth": 10, "twelfth": 12}
PART_WORDS: dict[str, tuple[str, int]] = {
    "half": (HALF, 2),
    **dict.fromkeys(("halves", "halfs"), (PARTS, 2)),
    **{word: (PART, n) for word, n in _PARTS.items()},
    **{f"{word}s": (PARTS, n) for word, n in _PARTS.items()},
    "sixteenth": (FINE_PART, 16),
    "sixteenths": (FINE_PARTS, 16),
}
PART_FIGURES = frozenset((2, 3, 4, 5, 6, 8, 10, 12, 16, 20, 32, 64, 100))
"""What the figures of "8th" or "16ths" may be."""
RULER_PARTS = frozenset((2, 3, 4, 8, 10, 16, 20, 32, 64, 100))
"""What stands under the stroke of a fraction that nobody takes for "or"."""
INCH_PARTS = frozenset((2, 4, 8, 16, 32, 64))


# Units --------------------------------------------------------------------------

UNIT_WORDS: dict[str, tuple[str, str]] = {
    word: (kind, name)
    for kind, name, words in (
        (INCH, "inch", "inch inches ins inchs"),
        (FOOT, "foot", "ft foot feet"),
        (METRIC, "millimeter", "mm mms millimetre millimetres millimeter millimeters"),
        (METRIC, "centimeter", "cm cms centimetre centimetres centimeter centimeters"),
        (METRIC, "meter", "m metre metres meter meters"),
        (METRIC, "yard", "yd yds yard yards"),
    )
    for word in words.split(" ")
}
SINGULAR_UNITS = _words("inch millimetre millimeter centimetre centimeter metre meter yard")
SHORT_UNITS = _words("in ins ft mm cm m yd yds")
"""The units that a full stop may shorten: "5 in. wide"."""
INCH_FAMILY = _words("inch foot yard")
LARGE = {"inch": 40, "foot": 50, "yard": 20, "millimeter": 3000, "centimeter": 300, "meter": 20}
"""A bare size with a side above this many of the assumed unit is not in that unit."""

OTHER_UNITS = _words(
    "lb lbs pound pounds oz ounce ounces g gram grams gramme grammes kg kgs kilo kilos gsm gm gms "
    "pt pts px pixel pixels dpi ppi sec secs second seconds min mins minute minutes hr hrs hour hours "
    "day days week weeks month months year years yr yrs am pm o'clock noon degree degrees deg celsius "
    "fahrenheit percent pence cent cents dollar dollars euro euros quid usd gbp eur ml litre litres "
    "liter liters cup cups tsp tsps tbsp teaspoon teaspoons tablespoon tablespoons"
)
"""What a number may measure that is not a length."""


# Words around a number -----------------------------------------------------------

SIDES = _words(
    "wide long tall high deep thick broad square across apart width length height depth diameter w h d"
)
"""Which way a length lies."""
SURE_SIDES = _words("wide long tall high broad")
"""The sides that make even a whole number a length where the sentence has a unit."""

LABELS = _words(
    """step steps page pages pp p pg pgs figure figures fig figs no nos number numbers nr num table
    tables chapter chapters section sections part parts tier tiers lesson lessons level levels
    version v ver item items question questions exercise exercises row rows module session
    sessions week weeks day days grade year room class issue volume vol option options template
    templates photo photos diagram diagrams picture pictures appendix unit units stage stages
    handout handouts round isbn type line lines layer layers edition ed age ages aged phase rule
    note notes size sizes tel phone ext call model ref tip slide slides kit kits sku dot dots
    letter"""
)
"""A whole number after one of these is a name: "step 3", "figure 2"."""
SOFT_LABELS = _words(
    """size sizes line lines photo photos template templates section sections part parts layer
    layers row rows letter room class unit dot dots kit kits table tables picture pictures"""
)
"""Labels that a length may follow as well: "photo 4 ½ in wide"."""

SCORING = _words(
    """score scores scored scoring crease creases creased creasing fold folds folded folding mark
    marks marked marking measure measures measured measuring slit slits slitting perforate
    perforates perforated notch notches notched bend bends bent bending rule ruled pencil"""
)
CUTTING = _words(
    """cut cuts cutting trim trims trimmed trimming slice slices sliced slicing snip snips snipped
    snipping crop crops cropped cropping chop chops chopped chopping shave shaves shaved"""
)
MAKING = _words(
    """keep keeps keeping make makes made making resize resized allow leave leaves leaving left need
    needs want"""
)
PUTTING = _words(
    """put puts putting place placing placed slip slips tuck tucks tucked drop drops dropped pop
    pops slide slides pack packs fit fits stick sticks insert inserts post mail seal keep keeps
    store include give gives hand pass join"""
)
"""Verbs that put things in: "put 5 in the box"."""
COUNTED = (
    CUTTING
    | PUTTING
    | _words(
        """make makes made making add adds take takes need needs want buy get have bring order punch
        glue glues collect choose pick save hold use uses using print prints"""
    )
)
"""Verbs that a count may follow at once: "cut 4 strips"."""
DIVIDING = _words(
    """divide divided dividing multiply multiplied multiplying scale scaled enlarge enlarged reduce
    reduced increase increased split"""
)
VERBS = (
    SCORING
    | CUTTING
    | MAKING
    | COUNTED
    | DIVIDING
    | _words(
        """press burnish attach roll glued tape share count come comes arrive wait waits repeat
        repeats turn turns open opens opened close stop start go see seat sit invite teach read
        reads"""
    )
)

HEDGES = _words(
    """about around roughly approximately approx circa ca nearly almost exactly precisely just only
    under over maybe perhaps say some least most a hair touch shade bit little slightly shy bare
    scant good then anywhere"""
)
"""Words between a verb or a small word and its number."""
PLACING = _words("at to by it them this each every up down along back from : strip piece card than")
"""What stands before a place or a size: "score at", "trim it to", "mark every"."""
MARKS = _words("lines marks scores creases folds")
SIZES = _words("width height depth length diameter margin overlap reveal than")
SIZED_NOUNS = _words("face shelf tab tabs landing flap back front gap base border")
NARROW = _words(
    """face shelf tab landing flap gap border margin overlap reveal strip mark line edge hem seam band
    score crease fold dowel tape foam pad square circle hole slot slit notch"""
)
"""What a fraction as on a ruler is the size of: "a 3/16 reveal", "the 4½ mark"."""
GIVING = _words("take give overlap least most leave leaving leaves allow")
THIN_PIECES = _words("strips tabs pieces bands borders lengths")
"""What is cut so narrow that "2 ½-inch strips" may be two strips of half an inch."""
PATTERNS = _words(
    """grid grids dot dots array arrays row rows column columns matrix table tables hole holes
    stitch stitches spots pattern patterns layout arrangement cells seats desks"""
)
"""What a bare size may count and not measure: "a 5 x 7 grid"."""

DETERMINERS = _words(
    """the a an this that these those your its their our my his her each every all any some it them
    one another both either no which what whose"""
)
FUNCTIONS = (
    _words(
        """from on onto along across at then so to with without before after until using down up off
        away in into inside below above under over past beyond between by or but if when while
        where which that as for is are be was were apart exactly precisely only too also again
        here there now first next plus minus less not you we they i and of toward towards through
        near against around about via finally must should will can may please neither whichever
        because since though although unless than"""
    )
    | DETERMINERS
)
COUNTING = _words(
    """in of for per out more extra spare left each apiece times together altogether total that
    which who is are was were will can must should past"""
)
"""After a number these show that it counts: "2 in each", "4 more", "3 are spare"."""
COMPARATIVES = _words(
    """wider longer taller higher deeper narrower shorter lower shallower bigger larger smaller
    clear free proud short"""
)
"""What a length may come before without naming a thing: "an inch wider"."""

IN_PHRASES = _words(
    """last next early late reserve storage half halves third thirds quarter quarters fourths
    eighths total order front place case turn turns pairs pair stock class attendance colour
    color colours colors line number advance common fact general particular position between
    sequence succession groups group teams twos threes fours rows row columns layers layer stages
    stage steps tiers use need mind bulk hand pencil pen ink bags boxes envelopes packs spring
    summer autumn winter time size shape full part addition school church english french spanish
    german welsh january february march april may june july august september october november
    december jan feb mar apr jun jul aug sep sept oct nov dec"""
)
"""What "in" stands before when it is the small word and not the unit."""
COLOURS = _words(
    """red orange yellow green blue purple violet pink brown black white grey gray silver gold cream
    ivory navy teal turquoise copper bronze lilac kraft patterned plain coloured colored dark
    light pale bright pearl metallic glitter crimson burgundy maroon beige"""
)
MATERIALS = _words(
    "card cardstock cardboard paper acetate vellum felt foil foam fabric ribbon plastic stock"
)
MAYBE_IN = "“in” may be inches, or just the word in."
BEFORE_ONE = _words(
    """another every each extra full whole scant good generous bare last first next final further
    additional single clear mere top bottom outer inner spare same"""
)
"""What makes a unit alone one of it: "another inch", "the last inch"."""

ABBREVIATIONS = _words(
    """no nos approx fig figs p pp pg e.g i.e eg ie vol ed st dr mr mrs ms vs ca c min max qty ea pt
    lb lbs oz ext in ins ft cm mm yd incl dim dims"""
)
"""Words whose full stop ends no sentence."""
DOMAINS = (
    "com|org|net|edu|gov|info|co|uk|io|html?|php|pdf|svg|png|jpe?g|gif|docx?|xlsx?|csv|toml|txt|zip"
)
"""Endings of addresses and file names."""

WORD_KINDS: dict[str, tuple[str, object]] = {
    **{word: (FUNCTION, None) for word in FUNCTIONS},
    **{word: (OTHER_UNIT, None) for word in OTHER_UNITS},
    **{word: (SIDE, None) for word in SIDES},
    **NUMBER_WORDS,
    **PART_WORDS,
    **UNIT_WORDS,
    **dict.fromkeys(("a", "an"), (ARTICLE, None)),
    **dict.fromkeys(("and", "n", "plus"), (AND, None)),
    **dict.fromkeys(("x", "by"), (TIMES, None)),
    **dict.fromkeys(("to", "through", "thru"), (TO, None)),
    "or": (OR, None),
    "of": (OF, None),
}
"""Kind and value of every word that has one; any other word is a `WORD`."""
