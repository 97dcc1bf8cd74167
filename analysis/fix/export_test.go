package fix

// Families are the names of all kinds of rewrite.
func Families() (names []string) {
	for _, f := range families {
		names = append(names, f.name)
	}
	return names
}
