package engine

// Resolve puts ids in the place of titles and refuses what no row can meet.
func (f *RosterFilter) Resolve(e *Engine) (err error) {
	for _, x := range []struct {
		into *string
		kind string
	}{{&f.Stuck, "throws"}, {&f.Factor, "factors"}} {
		if *x.into == "" {
			continue
		}
		if *x.into, err = e.Named(x.kind, *x.into); err != nil {
			return &Typed{"", err}
		}
	}
	return nil
}
