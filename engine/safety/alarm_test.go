package safety

import "testing"

// What people write, and whether it must be asked about (invented notes, common
// practice, no source).
func TestFind(t *testing.T) {
	a := Alarms{Words: []string{"pain", "pains", "painful", "hurt*", "tingl*", "numb", "sore", "pop", "popped", "dead arm", "elbow feel*"},
		Harmless: []string{"no pain", "pain free", "did not hurt", "didnt hurt", "popped the mitt"}, Beside: []string{"it", "today", "all", "day"}}
	for text, want := range map[string]bool{
		"my elbow hurt a lot":                       true,
		"arm pain since tuesday, fingers tingle":    true,
		"said his elbow hurts":                      true,
		"Painful":                                   true,
		"no pain":                                   false,
		"No pain.":                                  false,
		"pain-free today":                           false,
		"it didn't hurt":                            false,
		"it didn\u2019t hurt":                       false,
		"no, pain in the elbow":                     true,
		"no pain until the fifth inning":            true,
		"no pain at first":                          true,
		"no pain yet":                               true,
		"no pain with tape on":                      true,
		"no pain at all today":                      true,
		"no pain today":                             false,
		"a popular drill, painted corners":          false,
		"numbers good":                              false,
		"no pain; numb fingers":                     true,
		"no pain in the shoulder, elbow hurts":      true,
		"popped the mitt all day":                   false,
		"heard a pop":                               true,
		"dead arm":                                  true,
		"dead tired":                                false,
		"cold wind, good session":                   false,
		"stiff front leg at landing, elbow was low": false,
		"": false,
	} {
		if got := a.Find(text) != ""; got != want {
			t.Errorf("%q: alarming %v, want %v", text, got, want)
		}
	}
}
