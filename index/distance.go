package index

// typingErrors is how many typing errors a word of so many letters may hold:
// none in three letters or fewer, one up to seven, then two.
func typingErrors(letters int) int {
	switch {
	case letters <= 3:
		return 0
	case letters <= 7:
		return 1
	}
	return 2
}
