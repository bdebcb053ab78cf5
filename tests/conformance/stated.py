# ruff: noqa: E501
"""Cases stated by hand, one a line: `expression => result`. `?a, b` is open missing a, b; `!word` is stuck.

A result may end in `lo x` and `hi x`, the bounds of an open count, smallest or largest.
`error code` is a problem.
Every group has one `given` (as in reference.plain), written as YAML.
"""

GROUPS: dict[str, tuple[str, str]] = {
    "literal": (
        "{}",
        """
        41 kip = 41000 lbf => yes
        1 kip = 4448.2216152605 N => yes
        1 in = 25.4 mm => yes
        1 ft = 12 in => yes
        1 m = 100 cm => yes
        1-1/8 in = 1.125 in => yes
        7/8 in = 0.875 in => yes
        7/8 in = 22.225 mm => yes
        2/3 turn = 240 degree => yes
        10 % = 0.1 => yes
        1 ft-lbf = 1.3558179483314004 N-m => yes
        12 in-lbf = 1 ft-lbf => yes
        1 kN-m = 1000 N-m => yes
        1 ksi = 1000 psi => yes
        1 GPa = 1000 MPa => yes
        1 lb = 0.45359237 kg => yes
        1 hour = 60 minute => yes
        1 minute = 60 second => yes
        68 degF = 20 degC => yes
        212 degF = 100 degC => yes
        32 degF = 0 degC => yes
        (1 kip * 1 ft) = 1000 ft-lbf => yes
        1 kip / (1 in * 1 in) = 1 ksi => yes
        1 N / (1 mm * 1 mm) = 1 MPa => yes
        12 months = 1 year => yes
        30 days = 1 month => no
        "A325" => A325
        2026-04-14 => 2026-04-14
        yes => yes
        no => no
        0.1 + 0.2 = 0.3 => yes
        """,
    ),
    "arithmetic": (
        "{record: {force_a: 41 kip, force_b: 0 kip, ratio: '4', spaces: '0', bolt: {diameter: 1/2 in, length: 4 in}}}",
        """
        2 + 3 * 4 => 14
        (2 + 3) * 4 => 20
        2 - 3 - 4 => -5
        24 / 4 / 2 => 3
        24 / (4 / 2) => 12
        -2 * 3 => -6
        2 * -3 => -6
        2 - -3 => 5
        -ratio + 6 => 2
        1 / 3 * 3 = 1 => yes
        1.05 * 28 kip => 29.4 kip
        1.05 * 28 kip <= 29.4 kip => yes
        force_a + 1 kip => 42 kip
        force_a - 42 kip => -1 kip
        force_a * ratio => 164 kip
        force_a / 41 => 1 kip
        force_a / 1 kip => 41
        bolt.length / bolt.diameter => 8
        ratio * 10 % => 0.4
        abs(-3 kip) => 3 kip
        abs(ratio) => 4
        1 / spaces => !division by zero
        force_a / force_b => !division by zero
        0 / spaces => !division by zero
        0 * load.first => ?load.first
        load.first + load.second => ?load.first, load.second
        load.first - load.first => ?load.first
        -load.first => ?load.first
        abs(load.first) => ?load.first
        load.first * (1 / spaces) => ?load.first !division by zero
        load.first = load.first => ?load.first
        largest(force_a, 40 kip) => 41 kip
        smallest(force_a, 40 kip) => 40 kip
        largest(force_a, load.first) => ?load.first
        smallest(load.first, load.first) => ?load.first
        largest(load.first, load.second) => ?load.first, load.second
        """,
    ),
    "precedence": (
        "{record: {head_held: true, plain_finish: false, ratio: '4'}}",
        """
        yes or no and no => yes
        (yes or no) and no => no
        not no and no => no
        not (no and no) => yes
        not ratio = 5 => yes
        not ratio = 4 or yes => yes
        not 3 < ratio <= 4 => no
        head_held = yes => yes
        plain_finish = no => yes
        1 + 1 = 2 and 2 * 2 = ratio => yes
        if yes then no else yes and yes => no
        if no then no else yes and no => no
        if no then 1 else if yes then 2 else 3 => 2
        1 + (if yes then 2 else 3) => 3
        -ratio < 0 => yes
        - ratio + 8 = ratio => yes
        head_held != plain_finish => yes
        """,
    ),
    "chain": (
        "{record: {ratio: '4', spaces: '5', force_a: 10 kip}}",
        """
        3 <= ratio <= 5 => yes
        3 < ratio < 4 => no
        3 < ratio <= 4 => yes
        5 > ratio > 3 => yes
        5 >= ratio > 4 => no
        5 > ratio >= 4 => yes
        5 >= spaces >= 5 => yes
        1 < 2 < 3 < 4 => yes
        1 < 2 < 2 < 4 => no
        9 kip < force_a <= 50 kN => yes
        2 < 1 < load.first / load.second => no
        1 < 2 < load.first / load.second => ?load.first, load.second
        """,
    ),
    "one-of": (
        "{record: {bolt: {grade: A325}, ratio: '4'}}",
        """
        bolt.grade is one of {"A325", "A490"} => yes
        bolt.grade is one of {"A490"} => no
        not bolt.grade is one of {"A490"} => yes
        ratio is one of {1, 2, 4} => yes
        bolt.diameter is one of {1/2 in, 3/4 in} => ?bolt.diameter
        """,
    ),
    "table": (
        "{record: {bolt: {grade: A325, diameter: 3/4 in, length: 3 in}, force_a: 10 kip, force_b: 44482.216152605 N}}",
        """
        minimum["A325", 1/2 in] => 12 kip
        minimum["A490", 0.75 in] => 35 kip
        minimum[bolt.grade, bolt.diameter] => 28 kip
        minimum[bolt.grade, 19.05 mm] => 28 kip
        minimum[bolt.grade, bolt.length / 4] => 28 kip
        minimum[bolt.grade, bolt.length] => !no rule
        minimum["A490", bolt.diameter + 1/4 in] => !no rule
        minimum[bolt.grade, bolt.diameter] + minimum["A490", bolt.length] => !no rule
        turn_for[bolt.length / bolt.diameter] => 1/3 turn
        turn_for[bolt.length / bolt.diameter + 0.001] => 1/2 turn
        turn_for[bolt.length / bolt.diameter * 2] => 180 degree
        turn_for[bolt.length / bolt.diameter * 2.001] => 2/3 turn
        turn_for[bolt.length / bolt.diameter * 3] => 2/3 turn
        turn_for[bolt.length / bolt.diameter * 4] => !no rule
        turn_for[ratio] => ?ratio
        turn_for[bolt.length / bolt.diameter - 4] => !no rule
        turn_for[0.001] => 120 degree
        allowed[bolt.grade, force_a] => 2
        allowed[bolt.grade, force_b] => 2
        allowed[bolt.grade, force_a * 2] => 3
        allowed[bolt.grade, force_a * 3] => !no rule
        allowed["A490", force_a * 3] => 6
        allowed["A490", force_a * 2] => !no rule
        allowed["A490", load.first] => ?load.first
        """,
    ),
    "term": (
        "{record: {bolt: {grade: A325, diameter: 3/4 in}, head_held: true, plain_finish: true, calibrated: 2025-08-31,"
        " valid_for: 6 months, items: [{refusals: '2', force: 3 kip}, {}]}}",
        """
        needed => 29 kip
        29 kip >= needed => yes
        28.9 kip >= needed => no
        over(10 kip, 0.05) => 10.5 kip
        over(needed, 10 %) => 31.9 kip
        over(load.first, 0.05) => ?load.first
        enough(needed) => yes
        enough(0 kip) => no
        enough(load.first) => ?load.first
        slender => ?bolt.length
        either(3) => 3
        either(slender) => ?bolt.length
        refused => ?items[2].refusals lo 1 hi 2
        refused >= 1 => yes
        refused <= 2 => yes
        refused = 3 => no
        refused != 0 => yes
        refused < 2 => ?items[2].refusals
        refused + 0 >= 1 => ?items[2].refusals
        either(refused) >= 1 => yes
        highest => ?items[2].force lo 3 kip
        highest > 2 kip => yes
        highest < 3 kip => no
        highest > 3 kip => ?items[2].force
        highest <= 3 kip => ?items[2].force
        highest = 3 kip => ?items[2].force
        highest != 3 kip => ?items[2].force
        highest >= 3 kip => yes
        3 kip <= highest => yes
        3 kip > highest => no
        3 kip >= highest => ?items[2].force
        highest = 2 kip => no
        2 kip != highest => yes
        due => 2026-02-28
        due >= 2026-02-28 => yes
        largest(highest, 3 kip) => ?items[2].force lo 3 kip
        largest(highest, 3 kip) >= 3 kip => yes
        largest(highest, 4 kip) => ?items[2].force
        largest(3 kip, highest) => ?items[2].force
        smallest(refused, 2) => ?items[2].refusals lo 1 hi 2
        smallest(2, refused) => ?items[2].refusals
        smallest(refused, 1) => ?items[2].refusals
        smallest(1, refused) => 1
        smallest(refused, 0) => 0
        refused is one of {0, 3} => no
        refused is one of {0, 2} => ?items[2].refusals
        0 < refused < 3 => yes
        0 < refused < 2 => ?items[2].refusals
        (if head_held then refused else 0) >= 1 => yes
        (if recorded(marking) then refused else 5) >= 1 => ?marking, items[2].refusals
        abs(refused) >= 0 => ?items[2].refusals
        up(refused, 1) >= 0 => ?items[2].refusals
        over(1 kip, refused) >= 0 kip => ?items[2].refusals
        """,
    ),
    "interpolate": (
        "{record: {curve: [{dial: 20 kip, actual: 22 kip}, {dial: 10 kip, actual: 10 kip}, {dial: 40 kip, actual: 38 kip}],"
        " force_a: 41 kip}}",
        """
        interpolate(curve, 10 kip) => 10 kip
        interpolate(curve, 20 kip) => 22 kip
        interpolate(curve, 40 kip) => 38 kip
        interpolate(curve, 15 kip) => 16 kip
        interpolate(curve, 30 kip) => 30 kip
        interpolate(curve, 9.99 kip) => !outside the points
        interpolate(curve, force_a) => !outside the points
        interpolate(curve, load.first) => ?load.first
        """,
    ),
    "interpolate-open": (
        "{record: {curve: [{dial: 20 kip}, {dial: 10 kip, actual: 10 kip}]}}",
        """
        interpolate(curve, 10 kip) => ?curve[1].actual
        interpolate(curve, load.first) => ?load.first, curve[1].actual
        """,
    ),
    "interpolate-empty": ("{record: {curve: []}}", "interpolate(curve, 10 kip) => !outside the points"),
    "interpolate-absent": ("{}", "interpolate(curve, 10 kip) => ?curve"),
    "recorded": (
        "{record: {force_a: 0 kip, head_held: false, bolt: {grade: A325}, items: [{force: 1 kip}, {after: {}}]}}",
        """
        recorded(force_a) => yes
        recorded(head_held) => yes
        recorded(force_b) => ?force_b
        recorded(bolt) => yes
        recorded(load) => ?load
        recorded(items) => yes
        recorded(curve) => ?curve
        not recorded(force_b) => ?force_b
        every(items, recorded(item.force)) => ?items[2].force
        some(items, recorded(item.force)) => yes
        every(items, recorded(item.after)) => ?items[1].after, items[2].after
        """,
    ),
    "list": (
        "{record: {items: [{force: 3 kip, refusals: '1', gap: true}, {force: 5 kip, refusals: '4', gap: false}]}}",
        """
        count(items, item.refusals > 0) => 2
        count(items, item.gap) => 1
        every(items, item.force >= 3 kip) => yes
        every(items, item.gap) => no
        some(items, item.gap) => yes
        some(items, item.force > 5 kip) => no
        smallest(items, item.force) => 3 kip
        largest(items, item.force) => 5 kip
        sum(items, item.force) => 8 kip
        mean(items, item.force) => 4 kip
        sum(items, item.refusals) => 5
        mean(items, item.refusals) => 2.5
        largest(items, item.refusals * 2) => 8
        largest(smallest(items, item.force), 4 kip) => 4 kip
        """,
    ),
    "list-padded": (
        "{record: {items: [{force: 3 kip, gap: true}]}, asks: {items: 3}}",
        """
        every(items, item.gap) => ?items[2].gap, items[3].gap
        some(items, item.gap) => yes
        every(items, item.force > 4 kip) => no
        count(items, item.gap) => ?items[2].gap, items[3].gap lo 1 hi 3
        count(items, item.gap) >= 1 => yes
        1 <= count(items, item.gap) => yes
        count(items, item.gap) > 3 => no
        count(items, item.gap) = 0 => no
        count(items, item.gap) != 4 => yes
        count(items, item.gap) = 2 => ?items[2].gap, items[3].gap
        (count(items, item.gap)) > 0 => yes
        (if yes then count(items, item.gap) else 0) > 0 => yes
        -count(items, item.gap) < 0 => ?items[2].gap, items[3].gap
        smallest(items, item.force) => ?items[2].force, items[3].force hi 3 kip
        smallest(items, item.force) <= 3 kip => yes
        smallest(items, item.force) > 3 kip => no
        smallest(items, item.force) < 3 kip => ?items[2].force, items[3].force
        smallest(items, item.force) < largest(items, item.force) => ?items[2].force, items[3].force
        smallest(items, item.force) <= largest(items, item.force) => yes
        largest(items, item.force) => ?items[2].force, items[3].force lo 3 kip
        largest(largest(items, item.force), 2 kip) => ?items[2].force, items[3].force lo 3 kip
        sum(items, item.force) => ?items[2].force, items[3].force
        sum(items, item.force) >= 3 kip => ?items[2].force, items[3].force
        mean(items, item.force) => ?items[2].force, items[3].force
        """,
    ),
    "list-empty": (
        "{record: {items: []}}",
        """
        every(items, item.gap) => yes
        some(items, item.gap) => no
        count(items, item.gap) => 0
        sum(items, item.refusals) => 0
        smallest(items, item.force) => !empty list
        largest(items, item.force) => !empty list
        mean(items, item.force) => !empty list
        recorded(items) => yes
        """,
    ),
    "list-absent": (
        "{}",
        """
        every(items, item.gap) => ?items
        some(items, item.gap) => ?items
        count(items, item.gap) => ?items
        sum(items, item.force) => ?items
        mean(items, item.force) => ?items
        smallest(items, item.force) => ?items
        largest(items, item.force) => ?items
        """,
    ),
    "list-absent-asked": (
        "{asks: {items: 1}}",
        """
        every(items, item.gap) => ?items[1].gap
        largest(items, item.force) => ?items[1].force
        count(items, item.gap) => ?items[1].gap lo 0 hi 1
        recorded(items) => ?items
        """,
    ),
    "bound-item": (
        "{record: {items: [{force: 3 kip}, {force: 5 kip}]}, item: {item: 2}}",
        """
        item.force => 5 kip
        item.after.force => ?items[2].after.force
        recorded(item.force) => yes
        """,
    ),
    "date": (
        "{record: {tested: 2026-04-14, calibrated: 2025-08-31, valid_for: 1 year}}",
        """
        tested - calibrated => 226
        calibrated - tested => -226
        tested > calibrated => yes
        tested + 30 days => 2026-05-14
        2026-02-28 + 1 day => 2026-03-01
        2024-02-28 + 1 day => 2024-02-29
        2024-02-29 + 1 year => 2025-02-28
        2024-02-29 + 12 months => 2025-02-28
        calibrated + 6 months => 2026-02-28
        calibrated + 1 month => 2025-09-30
        calibrated + valid_for => 2026-08-31
        tested <= calibrated + valid_for => yes
        valid_for = 12 months => yes
        9999-12-30 + 1 day => 9999-12-31
        9999-12-31 + 1 day => !date refused
        9999-12-01 + 1 month => !date refused
        9999-12-31 + 0 days => 9999-12-31
        tested + 9999 years => !date refused
        """,
    ),
    "date-roll-over": (
        "{months: roll over}",
        """
        2026-08-31 + 6 months => 2027-03-03
        2024-02-29 + 1 year => 2025-03-01
        2026-08-31 + 1 month => 2026-10-01
        2026-04-30 + 1 month => 2026-05-30
        """,
    ),
    "date-refuse": (
        "{months: refuse}",
        """
        2026-08-31 + 6 months => !date refused
        2024-02-29 + 1 year => !date refused
        2024-02-29 + 4 years => 2028-02-29
        2026-04-30 + 1 month => 2026-05-30
        tested > 2026-08-31 + 6 months => ?tested !date refused
        """,
    ),
    "nested": (
        "{record: {items: [{force: 12 kip, refusals: '1'}, {force: 25 kip, refusals: '4'}, {force: 30 kip}],"
        " curve: [{dial: 10 kip, actual: 10 kip}, {dial: 20 kip, actual: 22 kip}, {dial: 40 kip}], ratio: '2'}}",
        """
        every(items, some(curve, point.dial < item.force)) => yes
        every(items, some(curve, point.dial = item.force)) => no
        some(items, every(curve, item.force > point.actual)) => ?curve[3].actual
        count(items, item.force > smallest(curve, point.dial)) => 3
        sum(items, count(curve, point.dial < item.force)) => 5
        largest(items, item.force - smallest(curve, point.dial)) => 20 kip
        largest(items, item.force - smallest(curve, point.actual)) => ?curve[3].actual
        mean(items, if recorded(item.refusals) then item.force else 0 kip) => ?items[3].refusals
        sum(items, if item.force < 30 kip then item.refusals else 0) => 5
        count(items, item.force > 12 kip and item.refusals > 3) => ?items[3].refusals lo 1 hi 2
        every(items, item.force >= 12 kip or item.refusals > 9) => yes
        count(items, yes) => 3
        count(items, no) => 0
        sum(items, ratio) => 6
        mean(items, ratio) => 2
        every(items, ratio = 2) => yes
        every(items, over(item.force, 1) >= 24 kip) => yes
        every(items, interpolate(curve, item.force) > 0 kip) => ?curve[3].actual
        smallest(largest(items, item.force), largest(curve, point.dial)) => 30 kip
        largest(smallest(1, 2), smallest(3, 4)) => 3
        ((((ratio)))) => 2
        if (if yes then no else yes) then 1 else 2 => 2
        if yes then if no then 1 else 2 else 3 => 2
        abs(if ratio > 1 then -ratio else ratio) => 2
        minimum[if ratio = 2 then "A490" else "A325", if yes then 1/2 in else 1 in] => 15 kip
        - - ratio => 2
        not not ratio = 2 => yes
        nearest(up(2.3, 0.5) + down(2.3, 0.5), 1, ties even) => 4
        """,
    ),
    "recorded-deep": (
        "{record: {load: {second: 1 kip}, items: [{after: {force: 1 kip}}, {}], bolt: {}, curve: []}, asks: {items: 3}}",
        """
        recorded(load) => yes
        recorded(load.first) => ?load.first
        recorded(bolt) => ?bolt
        recorded(bolt.diameter) => ?bolt.diameter
        recorded(curve) => yes
        recorded(items) => yes
        count(items, recorded(item.after)) => ?items[2].after, items[3].after lo 1 hi 3
        count(items, recorded(item.after.force)) >= 1 => yes
        recorded(tested) or yes => yes
        recorded(tested) and no => no
        if recorded(tested) then 1 else 2 => ?tested
        if recorded(tested) then 1 else 1 => 1
        """,
    ),
    "layout": (
        "{record: {ratio: '4', spaces: '5'}}",
        """
        ratio+spaces => 9
        ratio-spaces => -1
        ratio -spaces => -1
        ratio*spaces => 20
        ratio/spaces => 0.8
        ratio  +   spaces => 9
        ( ratio + spaces ) => 9
        abs ( ratio ) => 4
        smallest(ratio,spaces) => 4
        ratio<spaces => yes
        3 - 1 => 2
        3 - 1/8 in / 1 in => 2.875
        ratio - 1 => 3
        bolt.length / (7/8 in) => ?bolt.length
        -1/2 in + 1 in => 1/2 in
        """,
    ),
    "refused": (
        "{}",
        """
        1 + if yes then 2 else 3 => error syntax
        2 * if yes then 2 else 3 => error syntax
        -if yes then 2 else 3 => error syntax
        yes and if yes then no else yes => error syntax
        not if yes then no else yes => error syntax
        if yes 1 else 2 => error syntax
        if then 1 else 2 => error syntax
        if yes then else 2 => error syntax
        if yes then 1 else => error syntax
        then => error syntax
        yes no => error syntax
        or yes => error syntax
        yes or => error syntax
        yes and and no => error syntax
        not => error syntax
        ratio not = 4 => error syntax
        ratio < => error syntax
        < ratio => error syntax
        ratio <> 4 => error syntax
        ratio => 4 => error syntax
        +5 => error syntax
        ratio + + 2 => error syntax
        ratio * / 2 => error syntax
        ratio ^ 2 => error syntax
        !head_held => error syntax
        head_held && plain_finish => error syntax
        head_held | plain_finish => error syntax
        ratio ; spaces => error syntax
        () => error syntax
        (ratio + 1 => error syntax
        ratio + 1) => error syntax
        (ratio + 1] => error syntax
        minimum["A325", 1/2 in => error syntax
        minimum[] => error syntax
        minimum["A325",] => error syntax
        abs(ratio => error syntax
        abs(ratio,) => error syntax
        smallest(ratio, , 2) => error syntax
        bolt.grade is "A325" => error syntax
        bolt.grade is one of "A325" => error syntax
        bolt.grade is one of {"A325" => error syntax
        bolt.grade is one of {"A325",} => error syntax
        bolt.grade one of {"A325"} => error syntax
        bolt. grade = "A325" => error syntax
        .5 + ratio => error syntax
        5. + ratio => error syntax
        Ratio + 1 => error syntax
        'A325' = bolt.grade => error syntax
        bolt.grade = "A325"" => error syntax
        ratio 5 => error syntax
        5 kip 5 => error syntax
        5 kip ratio => error syntax
        "A325" "A490" => error syntax
        2026-13-01 > tested => error syntax
        2026-02-29 > tested => error syntax
        7-7/8 => error ambiguous
        5-3 + ratio => error ambiguous
        ratio + 3-1/8 => error ambiguous
        26-04-14 > tested => error ambiguous
        2026-04-1 > tested => error ambiguous
        1 / 1/2 in => error ambiguous
        ratio / 3/4 => error ambiguous
        bolt.length / 1-1/8 in => error ambiguous
        5 < ratio >= 2 => error chain
        5 >= ratio <= 2 => error chain
        1 < ratio < 5 > 3 => error chain
        1 = ratio < 2 => error chain
        1 = ratio != 2 => error chain
        nearest(force_a, 1 kip) => error tie-rule
        nearest(force_a, 1 kip, ties down) => error tie-rule
        nearest(force_a, 1 kip, ties odd) => error tie-rule
        down(ratio) => error arguments
        nearest(ratio) => error arguments
        largest(1) => error arguments
        largest(1, 2, 3) => error arguments
        mean(items) => error arguments
        sum(items, 1, 2) => error arguments
        every(items) => error arguments
        interpolate(curve, 1 kip, 2 kip) => error arguments
        recorded(force_a, force_b) => error arguments
        minimum["A325", 1/2 in, 1 in] => error arguments
        enough(1 kip, 2 kip) => error arguments
        over > 1 kip => error arguments
        recorded(nothing) => error unknown-name
        recorded(bolt.nothing) => error unknown-name
        interpolate(nothing, 1 kip) => error unknown-name
        every(nothing, yes) => error unknown-name
        every(items, point.dial > 1 kip) => error unknown-name
        every(items, item.nothing > 1 kip) => error unknown-name
        some(curve, item.force > 1 kip) => error unknown-name
        every(items, item.gap) and item.gap => error unknown-name
        sqrt(ratio) => error unknown-name
        round(ratio, 1) => error unknown-name
        min(1, 2) => error unknown-name
        true and head_held => error unknown-name
        ratio + ratios => error unknown-name
        """,
    ),
    "problem": (
        "{}",
        """
        force_c > 1 kip => error unknown-name
        item.force > 1 kip => error unknown-name
        bolt.weight = 1 => error unknown-name
        maximum["A325", 1/2 in] => error unknown-name
        median(items, item.force) => error unknown-name
        force_a and head_held => error kind
        not ratio => error kind
        head_held + 1 => error kind
        tested + 1 => error kind
        tested + tested => error kind
        marking < "7" => error kind
        bolt.grade < "A490" => error kind
        head_held < yes => error kind
        bolt.grade = 1 => error kind
        if ratio then 1 else 2 => error kind
        if yes then 1 else "A325" => error kind
        count(items, item.force) => error kind
        force_a + bolt.length => error dimension
        force_a = bolt.length => error dimension
        force_a < 3 => error dimension
        force_a + 1 => error dimension
        smallest(force_a, bolt.length) => error dimension
        nearest(force_a, 1 in, ties up) => error dimension
        if yes then force_a else bolt.length => error dimension
        minimum["A325", 1 kip] => error dimension
        force_a >= 1 kip * 1 kip => error dimension
        force_a + => error syntax
        (force_a => error syntax
        force_a) => error syntax
        force_a force_b => error syntax
        if yes then 1 => error syntax
        bolt.grade is one of {} => error syntax
        bolt.grade = "A325 => error syntax
        head_held and => error syntax
        ratio ** 2 => error syntax
        ratio == 4 => error syntax
        3-1/8 => error ambiguous
        2026-4-14 => error ambiguous
        1-1/8 => error ambiguous
        3-1 => error ambiguous
        bolt.length / 7/8 in => error ambiguous
        force_a > 5 kips => error unit-unknown
        force_a > 5 tonnes => error unit-unknown
        bolt.length > 5 inches => error unit-unknown
        nearest(ratio, 1) => error tie-rule
        nearest(ratio, 1, ties down) => error tie-rule
        nearest(ratio, 1, 2) => error tie-rule
        1 < ratio > 2 => error chain
        1 < ratio = 2 => error chain
        1 = ratio = 2 => error chain
        1 != ratio < 2 => error chain
        abs(1, 2) => error arguments
        smallest(1) => error arguments
        over(1 kip) => error arguments
        over(1 kip, 2, 3) => error arguments
        needed(1 kip) => error arguments
        minimum["A325"] => error arguments
        turn_for[1, 2] => error arguments
        count(items) => error arguments
        interpolate(curve) => error arguments
        up(ratio) => error arguments
        """,
    ),
}
