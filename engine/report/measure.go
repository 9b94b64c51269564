package report

// Said is one statement in plain words; its ID is stable.
type Said struct {
	ID   string `json:"id"`
	Text string `json:"text"`
}

// Measurement is one measured value with its error and what it means. Value,
// Error, Smallest and Tolerance are in Unit.
type Measurement struct {
	Rungwise   string  `json:"rungwise"`
	What       string  `json:"what"`       // frames, angle, line, speed
	Checkpoint string  `json:"checkpoint"` // "" = none was named
	Title      string  `json:"title"`
	Value      float64 `json:"value"`
	Error      float64 `json:"error"` // one standard error
	Unit       string  `json:"unit"`
	Smallest   float64 `json:"smallest_difference"` // of one clip against one clip that is beyond error
	Tolerance  float64 `json:"tolerance"`           // a difference up to this does not matter; 0 = not known
	Answer     string  `json:"answer"`              // the grade it clearly stands for, "" = none
	CanSee     *bool   `json:"can_see"`             // this camera can answer the checkpoint; nil = not told
	FilmAt     int     `json:"film_at"`             // frames a second that it needs, 0 = any
	Notes      []Said  `json:"notes"`
	Line       string  `json:"line"`    // the line of a case file
	Written    string  `json:"written"` // the file it was written to, "" = none
	Compared   *Row    `json:"compared"`
}

// Cameras is what one frame rate can answer.
type Cameras struct {
	Rungwise string   `json:"rungwise"`
	FPS      float64  `json:"fps"`
	Rows     []Camera `json:"rows"` // in the order of the throw
}

// Camera is what a frame rate can do for one checkpoint.
type Camera struct {
	Checkpoint string `json:"checkpoint"`
	Title      string `json:"title"`
	Can        bool   `json:"can"`
	Needs      int    `json:"needs"` // lowest usual rate that can, 0 = none, or it depends on none
	Says       string `json:"says"`
}

// Agreement is how far two gradings of the same clips agree.
type Agreement struct {
	Rungwise   string         `json:"rungwise"`
	Case       string         `json:"case"`
	Clips      int            `json:"clips"` // graded both times
	Same       int            `json:"same"`
	LeftOut    int            `json:"left_out"` // could not be seen one of the times
	Raw        float64        `json:"raw"`
	RawRange   [2]float64     `json:"raw_range"` // 95 %
	Kappa      *float64       `json:"kappa"`     // nil where only one answer was ever given
	KappaRange [2]float64     `json:"kappa_range"`
	Error      float64        `json:"error"` // share of gradings that are wrong
	ErrorRange [2]float64     `json:"error_range"`
	Now        float64        `json:"error_now"` // what the rules read with
	Use        float64        `json:"error_to_use"`
	Enough     bool           `json:"enough"` // clips for Use to take the place of Now
	By         []AgreementRow `json:"by"`     // checkpoints, the least alike first
	Notes      []Said         `json:"notes"`
	Written    string         `json:"written"` // the house file it was written to, "" = none
}

// AgreementRow is one checkpoint of an agreement.
type AgreementRow struct {
	Checkpoint string `json:"checkpoint"`
	Title      string `json:"title"`
	Clips      int    `json:"clips"`
	Same       int    `json:"same"`
}
