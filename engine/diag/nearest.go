package diag

import "strings"

// Nearest returns the name that a mistyped word most likely meant, and whether
// one is close enough to offer. The distance counts letters added, dropped,
// changed or swapped with their neighbour; a third of the word may differ, and
// the earlier name wins a tie.
func Nearest(word string, names []string) (string, bool) {
	best, found := "", false
	limit := max(1, len([]rune(word))/3)
	for _, name := range names {
		if d := distance(strings.ToLower(word), strings.ToLower(name)); d <= limit {
			best, found, limit = name, true, d-1
		}
	}
	return best, found
}

// OneSlip reports whether two words differ by one letter added, dropped or
// changed, or by two neighbours swapped: near enough to mend without asking.
func OneSlip(a, b string) bool { return distance(a, b) == 1 }

// distance is the optimal string alignment distance of two words.
func distance(a, b string) int {
	s, t := []rune(a), []rune(b)
	rows := make([][]int, len(s)+1)
	for i := range rows {
		rows[i] = make([]int, len(t)+1)
		rows[i][0] = i
	}
	for j := range rows[0] {
		rows[0][j] = j
	}
	for i := 1; i <= len(s); i++ {
		for j := 1; j <= len(t); j++ {
			change := 1
			if s[i-1] == t[j-1] {
				change = 0
			}
			rows[i][j] = min(rows[i-1][j]+1, rows[i][j-1]+1, rows[i-1][j-1]+change)
			if i > 1 && j > 1 && s[i-1] == t[j-2] && s[i-2] == t[j-1] {
				rows[i][j] = min(rows[i][j], rows[i-2][j-2]+1)
			}
		}
	}
	return rows[len(s)][len(t)]
}
