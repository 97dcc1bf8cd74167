package rules

// didYouMean ends a sentence about an unknown name with the known one that is
// nearest, if any is near.
func didYouMean(name string, known []string) string {
	best, least := "", len(name)/3+1
	for _, k := range known {
		if d := distance(name, k); d <= least && (best == "" || d < least) {
			best, least = k, d
		}
	}
	if best == "" {
		return ""
	}
	return "; did you mean `" + best + "`?"
}

// distance is how many bytes must be put in, left out or changed to get from one
// name to the other.
func distance(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		diagonal := row[0]
		row[0] = i + 1
		for j := range len(b) {
			change := diagonal
			if a[i] != b[j] {
				change++
			}
			diagonal = row[j+1]
			row[j+1] = min(change, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(b)]
}
