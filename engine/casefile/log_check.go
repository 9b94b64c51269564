package casefile

import (
	"fmt"
	"math"
	"strings"
)

// Check says why an entry could not be written, apart from the number that it
// will be given; nil where it can.
func (e Entry) Check() error {
	e.Format, e.ID = LogFormat, math.MaxInt
	if says := e.faults(Vocabulary{}); len(says) > 0 {
		return fmt.Errorf("%w: %s", ErrEntry, strings.Join(says, "; "))
	}
	return nil
}
