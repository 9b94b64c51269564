package report

// Effective is the merged rule base, value by value, with the origin of each.
type Effective struct {
	Rungwise string           `json:"rungwise"`
	Version  string           `json:"version"`
	Entries  []EffectiveEntry `json:"entries"`
}

// EffectiveEntry is one entry of the merged base. A place is written file:line.
type EffectiveEntry struct {
	Concern     string           `json:"concern"`
	ID          string           `json:"id"`
	At          string           `json:"at"`
	Disabled    bool             `json:"disabled"`
	Fingerprint string           `json:"base,omitempty"` // of the base's text under the house's changes
	Values      []EffectiveValue `json:"values"`
	Changes     []EffectiveWish  `json:"changes"`
}

// EffectiveValue is one value of an entry, and whether the house says it.
type EffectiveValue struct {
	Key   string `json:"key"`
	Text  string `json:"text"`
	At    string `json:"at"`
	House bool   `json:"house"`
}

// EffectiveWish is a change that the house made to an entry.
type EffectiveWish struct {
	Kind    string `json:"kind"`
	Because string `json:"because"`
	By      string `json:"by"`
	Until   string `json:"until,omitempty"` // "" = no end
	At      string `json:"at"`
}

// Name is what something in the rule base is called.
type Name struct {
	ID    string `json:"id"`
	Title string `json:"title"`
}

// Names are the names of one kind.
type Names struct {
	Kind string
	List []Name
}

// Kinds are the lists of names.
type Kinds struct{ Kinds []Names }

// Learned is shares proposed from a facility's own cases.
type Learned struct {
	Rungwise string `json:"rungwise"`
	Ladders  int    `json:"ladders"`  // that were read
	Aside    int    `json:"aside"`    // of an age that has shares of its own, or that cannot be read
	Proposed int    `json:"proposed"` // throws in the house file
	House    string `json:"house"`    // a house-rules file to review
}

// Visit is how a guided checklist ended.
type Visit struct {
	Rungwise string `json:"rungwise"`
	Case     string `json:"case"`
	File     string `json:"file"`
	Saved    int    `json:"saved"` // answers of this visit
	Open     int    `json:"open"`  // questions that stay open
	Finished bool   `json:"finished"`
}

// Written lists files, such as those that were set otherwise.
type Written struct {
	Rungwise string   `json:"rungwise"`
	Files    []string `json:"files"`
}

// Licences are the notices that go with the program.
type Licences struct {
	Rungwise string `json:"rungwise"`
	Text     string `json:"text"`
}
