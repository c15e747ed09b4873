from popkit.wording.reading import Found, find_lengths
