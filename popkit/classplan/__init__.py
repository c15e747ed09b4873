"""Students times pieces -> sheets, layouts, cuts in order, shopping, kits: the class planner.

Reads downwards: `board` and `pricing` are the problem in whole numbers, `listing`, `cover`,
`construct`, `master`, `bound` and `solve` the search, `shapes` and `cutting` what becomes of
it on the table, `replay` the check, `plan` the door for pieces of one stock. `kits` and `classes` are
the door for a whole class; on its plan stand `prices` and `shopping`, `preparing` (bags and hours),
`one_sheet` (what offcuts still give) and `growth` (sheets against class size).
"""
