"""Students times pieces -> sheets, layouts, cuts in order, shopping, kits: the class planner.

Reads downwards: `board` and `pricing` are the problem in whole numbers, `listing`, `cover`,
`construct`, `master`, `bound` and `solve` the search, `shapes` and `cutting` what becomes of
it on the table, `replay` the check, `plan` the door.
"""
